package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A file has its name once it is whole: where writing fails the old one stays,
// and nothing else is left in the folder.
func TestCreate(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "report")
	if err := os.WriteFile(path, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	full := errors.New("disk full")
	err := create(path, func(w io.Writer) error {
		io.WriteString(w, "ha")
		return full
	})
	if !errors.Is(err, full) || readFile(t, path) != "old" {
		t.Errorf("%v; the file is %q", err, readFile(t, path))
	}
	err = create(path, func(w io.Writer) error {
		if now := readFile(t, path); now != "old" {
			t.Errorf("while it is being written the file is %q", now)
		}
		_, err := io.WriteString(w, "new")
		return err
	})
	if err != nil || readFile(t, path) != "new" {
		t.Errorf("%v; the file is %q", err, readFile(t, path))
	}
	if info, _ := os.Stat(path); info.Mode().Perm() != 0o600 {
		t.Errorf("its permissions are %v", info.Mode())
	}
	if all, _ := os.ReadDir(dir); len(all) != 1 {
		t.Errorf("left in the folder: %v", all)
	}
}

// What a link names is written, and a device is written to.
func TestCreateElsewhere(t *testing.T) {
	dir := t.TempDir()
	target, link := filepath.Join(dir, "target"), filepath.Join(dir, "link")
	if err := os.WriteFile(target, nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("target", link); err != nil {
		t.Fatal(err)
	}
	hello := func(w io.Writer) error { _, err := io.WriteString(w, "hello"); return err }
	if err := create(link, hello); err != nil || readFile(t, target) != "hello" {
		t.Errorf("%v; the target is %q", err, readFile(t, target))
	}
	if err := create(os.DevNull, hello); err != nil {
		t.Error(err)
	}
	if err := create(filepath.Join(dir, "none", "x"), hello); err == nil || strings.Contains(err.Error(), "partial") {
		t.Errorf("%v", err)
	}
}
