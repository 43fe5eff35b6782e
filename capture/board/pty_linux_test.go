package board

import (
	"os"
	"runtime"
	"syscall"
	"testing"
	"time"

	"handspin/capture/board/boardtest"
)

// asNobody calls f as a user without rights of their own, where tests run as root,
// whom the system lets in everywhere.
func asNobody(t *testing.T, f func()) {
	t.Helper()
	const nobody = 65534
	done := make(chan syscall.Errno)
	go func() {
		runtime.LockOSThread() // and never back: the thread ends with its rights
		var failed syscall.Errno
		if os.Geteuid() == 0 {
			_, _, failed = syscall.RawSyscall(syscall.SYS_SETRESUID, nobody, nobody, nobody)
		}
		if failed == 0 {
			f()
		}
		done <- failed
	}()
	if failed := <-done; failed != 0 {
		t.Fatal(failed)
	}
}

// TestRefusedPort: a port that another program has open, and one that belongs to
// somebody else.
func TestRefusedPort(t *testing.T) {
	_, path := boardtest.Pty(t)
	held, err := openPort(path, FastBaud)
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	for _, c := range []struct {
		mode    os.FileMode
		problem Problem
		message string
	}{
		{0o666, Busy, ": another program has the port open"},
		{0, NoPermission, ": there is no permission to use the port"},
	} {
		if err := os.Chmod(path, c.mode); err != nil {
			t.Fatal(err)
		}
		asNobody(t, func() { _, err = openPort(path, FastBaud) })
		wantProblem(t, err, c.problem, path+c.message)
	}
}

// TestRealPort: the library's ways on a terminal: timeouts that are no errors, and
// a board that is unplugged.
func TestRealPort(t *testing.T) {
	master, path := boardtest.Pty(t)
	port, err := openPort(path, FastBaud)
	if err != nil {
		t.Fatal(err)
	}
	const sets = 50
	go func() {
		time.Sleep(2 * readTimeout) // the port must not take silence for its end
		master.WriteString("\x00noise\n" + header + rows(0, sets))
	}()
	p := quick
	p.header, p.silence = 5*time.Second, 5*time.Second // a busy machine
	b, err := attach(t.Context(), path, port, p)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	var s store
	var tally Tally
	err = Record(t.Context(), b, &s, func(l *Line) {
		if tally.Take(l); tally.Sets == sets {
			master.Close() // not earlier: it takes what is unread with it
		}
	})
	wantProblem(t, err, Unplugged, path+": the board was unplugged (Port has been closed)")
	if len(s.lines) != 4+sets {
		t.Errorf("%d lines", len(s.lines))
	}
}

// TestHeldByPort: what came before anybody looked, as on a machine that was busy
// after it had opened the port, is not lost. Closing then ends the reading at once.
func TestHeldByPort(t *testing.T) {
	master, path := boardtest.Pty(t)
	port, err := openPort(path, SafeBaud)
	if err != nil {
		t.Fatal(err)
	}
	master.WriteString(header)
	time.Sleep(50 * time.Millisecond) // the system passes it on meanwhile
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
