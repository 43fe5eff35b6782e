package main

import (
	"compress/gzip"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"testing/iotest"
	"time"
)

// process returns the command as a process that has not begun, and what it will
// have written to stderr.
func process(t *testing.T, args ...string) (*exec.Cmd, *strings.Builder) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), self)
	cmd.Env = append(os.Environ(), argsVariable+"="+strings.Join(args, "\n"))
	said := &strings.Builder{}
	cmd.Stderr = said
	return cmd, said
}

// A process killed at any moment leaves the file of before under the final name,
// or the whole new one.
func TestKilled(t *testing.T) {
	dir := t.TempDir()
	spin, page := filepath.Join(dir, "spin.csv.gz"), filepath.Join(dir, "page.html")
	recording := filepath.Join(dir, "long.csv")
	if r := handspin("", "simulate", "--seed", "1", "--seconds", "20", "-o", recording); r.status != done {
		t.Fatal(r)
	}
	for _, c := range []struct {
		path  string
		whole func(path string) bool
		args  []string
	}{
		{spin, unpacks, []string{"simulate", "--seed", "1", "--seconds", "20", "-o", spin}},
		{page, endsPage, []string{"report", recording, "-o", page}},
	} {
		killed := 0
		for delay := 20 * time.Millisecond; delay < 2*time.Second; delay *= 2 {
			if err := os.WriteFile(c.path, []byte("old"), 0o666); err != nil {
				t.Fatal(err)
			}
			cmd, _ := process(t, c.args...)
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(delay)
			if err := cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
				t.Fatal(err)
			}
			if cmd.Wait() != nil {
				killed++
			}
			if text := readFile(t, c.path); text != "old" && !c.whole(c.path) {
				t.Errorf("%s killed after %v: the file is neither the old one nor whole, %d bytes", c.args[0], delay, len(text))
			}
		}
		if killed == 0 {
			t.Errorf("%s: nothing was killed, the recording is too short", c.args[0])
		}
	}
}

// endsPage reports whether the page at path has its end.
func endsPage(path string) bool {
	text, err := os.ReadFile(path)
	return err == nil && strings.HasSuffix(strings.TrimSpace(string(text)), "</html>")
}

// unpacks reports whether the gzip file at path has its end.
func unpacks(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	r, err := gzip.NewReader(f)
	if err != nil {
		return false
	}
	_, err = io.Copy(io.Discard, r)
	return err == nil
}

// A full disk fails the command and is named.
func TestFullDisk(t *testing.T) {
	for _, line := range []string{"demo", "demo --format json", "simulate --turns 2"} {
		full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		cmd, said := process(t, strings.Fields(line)...)
		cmd.Stdout = full
		failure, _ := errors.AsType[*exec.ExitError](cmd.Run())
		full.Close()
		if failure == nil || failure.ExitCode() != failed || !strings.Contains(said.String(), "no space left on device") {
			t.Errorf("%s: %v, %q", line, failure, said)
		}
	}
	got := handspin("", "simulate", "--turns", "2", "-o", "/dev/full")
	if got.status != failed || !strings.Contains(got.stderr, "no space left on device") {
		t.Errorf("-o /dev/full: %+v", got)
	}
}

// A pipe whose reader has gone ends the command as it ends others, without a
// word that would hide the reader's own.
func TestClosedPipe(t *testing.T) {
	for _, line := range []string{"demo", "simulate --turns 2"} {
		r, w, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		r.Close()
		cmd, said := process(t, strings.Fields(line)...)
		cmd.Stdout = w
		failure, _ := errors.AsType[*exec.ExitError](cmd.Run())
		w.Close()
		if failure == nil {
			t.Errorf("%s: succeeded", line)
			continue
		}
		status, _ := failure.Sys().(syscall.WaitStatus)
		if status.Signal() != syscall.SIGPIPE || said.Len() > 0 {
			t.Errorf("%s: %v, %q", line, failure, said)
		}
	}
}

// A source that fails half-way gives an error and no list: half a spin is not what
// was asked about.
func TestReadErrorHalfWay(t *testing.T) {
	text := handspin("", "simulate", "--seed", "1").stdout
	for _, command := range []string{"rank", "inspect", "table", "confirm"} {
		var stdout, stderr strings.Builder
		torn := io.MultiReader(strings.NewReader(text[:len(text)/2]), iotest.ErrReader(syscall.EIO))
		status := run(t.Context(), []string{command, "-"}, torn, &stdout, &stderr)
		if status != failed || stdout.Len() > 0 || !strings.Contains(stderr.String(), "input/output error") {
			t.Errorf("%s: status %d, %d bytes, %q", command, status, stdout.Len(), stderr.String())
		}
	}
}
