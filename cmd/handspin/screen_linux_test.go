package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"handspin/capture/board/boardtest"
)

// onTerminal runs a command whose results go to a terminal of so many columns, and
// returns what that was sent.
func onTerminal(t *testing.T, columns uint16, args ...string) string {
	t.Helper()
	master, path := boardtest.Pty(t)
	size := [4]uint16{40, columns} // rows, columns, and pixels that nobody asks for
	if _, _, e := syscall.Syscall(syscall.SYS_IOCTL, master.Fd(), syscall.TIOCSWINSZ, uintptr(unsafe.Pointer(&size))); e != 0 {
		t.Fatal(e)
	}
	screen, err := os.OpenFile(path, os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	sent := make(chan string)
	go func() {
		var b bytes.Buffer
		io.Copy(&b, master) // ends with an error when the terminal is closed
		sent <- b.String()
	}()
	var stderr bytes.Buffer
	if status := run(context.Background(), args, strings.NewReader(""), screen, &stderr); status != done {
		t.Errorf("%d %s", status, stderr.String())
	}
	screen.Close()
	return <-sent
}

// TestScreen: colours and the sketch are for terminals, and for those who want them.
func TestScreen(t *testing.T) {
	t.Setenv("TERM", "xterm")
	for _, c := range []struct {
		columns        uint16
		noColor, flag  string
		color, picture bool
	}{
		{80, "", "auto", true, true},
		{79, "", "auto", true, false},
		{80, "1", "auto", false, true},
		{80, "1", "always", true, true},
		{80, "", "never", false, true},
	} {
		t.Setenv("NO_COLOR", c.noColor)
		got := onTerminal(t, c.columns, "rank", demoFile, "--color", c.flag)
		if strings.Contains(got, "\x1b[") != c.color || strings.Contains(got, "█") != c.picture {
			t.Errorf("%+v:\n%s", c, got)
		}
	}
	t.Setenv("NO_COLOR", "")
	t.Setenv("TERM", "dumb")
	if got := onTerminal(t, 80, "rank", demoFile); strings.ContainsAny(got, "\x1b█") {
		t.Errorf("a dumb terminal is sent\n%s", got)
	}
	if got := onTerminal(t, 80, "rank", demoFile, "--format", "json", "--color", "always"); strings.Contains(got, "\x1b") {
		t.Error("JSON has colours")
	}
}

// Nothing but text goes into a pipe, unless that is asked for.
func TestPipesGetNoCodes(t *testing.T) {
	if got := handspin("", "rank", demoFile); strings.ContainsAny(got.stdout, "\x1b█") {
		t.Error(got.stdout)
	}
	if got := handspin("", "rank", demoFile, "--color", "always"); !strings.HasPrefix(got.stdout, "\x1b[1;32mRanked") || strings.Contains(got.stdout, "█") {
		t.Errorf("%.200q", got.stdout)
	}
}
