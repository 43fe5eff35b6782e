package main

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

// What takes its time is told once a step where there is no terminal, without
// control codes; on a terminal in one line, with its share, that is gone at the
// end.
func TestBusy(t *testing.T) {
	var out bytes.Buffer
	b := newBusy(&out, 0, time.Hour) // told when the test says so
	b.tell()
	b.begin("reading %s", "a\x1b[2J.csv")
	b.done(1, 4)
	b.tell()
	b.done(2, 4)
	b.tell()
	b.begin("thinking")
	b.tell()
	b.end()
	if lines := strings.Split(out.String(), "\n"); len(lines) != 3 || !strings.HasPrefix(lines[0], "handspin: reading a") || lines[1] != "handspin: thinking" || strings.Contains(out.String(), "\x1b") {
		t.Errorf("%q", out.String())
	}
	out.Reset()
	b = newBusy(&out, 0, time.Hour)
	b.terminal = true
	b.begin("reading x")
	b.tell()
	b.done(1, 4)
	b.tell()
	b.end()
	blank := func(text string) string { return "\r" + strings.Repeat(" ", len(text)) + "\r" }
	first, second := "handspin: reading x", "handspin: reading x, 25 %"
	if want := first + blank(first) + second + blank(second); out.String() != want {
		t.Errorf("%q, want %q", out.String(), want)
	}
	out.Reset()
	b = newBusy(&out, time.Hour, time.Hour)
	b.begin("reading x")
	b.tell()
	b.end()
	if out.Len() > 0 {
		t.Errorf("%q before its time", out.String())
	}
}
