package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// create makes the file at path of what write gives. The file has its name only
// once it is whole: a run that ends in the middle leaves the one of before, or
// none. What is there and is no ordinary file, as a device, is written to as it
// is.
func create(path string, write func(io.Writer) error) error {
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return writeTo(path, os.O_WRONLY, 0, write)
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // the file that a link names, not the link
	}
	partial := fmt.Sprintf("%s.%d.partial", path, os.Getpid())
	if err := writeTo(partial, os.O_WRONLY|os.O_CREATE|os.O_EXCL, modeOf(path), write); err != nil {
		os.Remove(partial)
		if e, ok := errors.AsType[*fs.PathError](err); ok {
			err = e.Err // which names the partial file
		}
		if err = fmt.Errorf("%s: %w", path, err); errors.Is(err, fs.ErrNotExist) {
			err = hinted{err, "make the folder " + filepath.Dir(path) + " first, or write to another"}
		}
		return err
	}
	return os.Rename(partial, path)
}

// modeOf returns the permissions that a new file at path is to have.
func modeOf(path string) fs.FileMode {
	if info, err := os.Stat(path); err == nil {
		return info.Mode().Perm()
	}
	return 0o666
}

func writeTo(path string, how int, mode fs.FileMode, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, how, mode)
	if err != nil {
		return err
	}
	if err := write(f); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
