package board

import (
	"testing"
	"time"

	"handspin/capture/board/boardtest"
)

// TestRealPort: the library's ways on a terminal: timeouts that are no errors, a
// board that is unplugged, a port that is gone. That another program has the port
// open cannot be tried where tests run as root, whom the system lets in.
func TestRealPort(t *testing.T) {
	master, path := boardtest.Pty(t)
	port, err := openPort(path, FastBaud)
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		time.Sleep(200 * time.Millisecond) // the port must not take silence for its end
		master.WriteString("\x00noise\n" + header + rows(0, 50))
		time.Sleep(50 * time.Millisecond)
		master.Close()
	}()
	p := quick
	p.header, p.silence = 5*time.Second, 5*time.Second // a busy machine
	b, err := attach(t.Context(), path, port, p)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	var s store
	err = Record(t.Context(), b, &s, func(*Line) {})
	wantProblem(t, err, Unplugged, path+": the board was unplugged (Port has been closed)")
	if len(s.lines) != 4+50 {
		t.Errorf("%d lines", len(s.lines))
	}
	_, err = Open(t.Context(), path)
	wantProblem(t, err, NoSuchPort, path+": there is no such port")
}

// TestCloseWhileReading: closing ends the reading at once.
func TestCloseWhileReading(t *testing.T) {
	master, path := boardtest.Pty(t)
	port, err := openPort(path, SafeBaud)
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		time.Sleep(50 * time.Millisecond) // what comes before the port is open is forgotten
		master.WriteString(header)
	}()
	b, err := attach(t.Context(), path, port, quick)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Error(err)
	}
	if err := b.Close(); err != nil {
		t.Error(err)
	}
	for range b.chunks { // ends when the reading has
	}
}
