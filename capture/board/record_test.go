package board

import (
	"context"
	"errors"
	"testing"
	"time"

	"handspin/capture/board/boardtest"
)

// store keeps the lines of a recording.
type store struct {
	lines   []string
	flushed int // lines at the last flush
}

func (s *store) Line(text []byte) { s.lines = append(s.lines, string(text)) }

func (s *store) Flush() error { s.flushed = len(s.lines); return nil }

// TestFlushedInSilence: what came is flushed while nothing more does: not only by
// the end, of which the sink knows nothing yet.
func TestFlushedInSilence(t *testing.T) {
	p := &boardtest.Port{}
	p.Send(header + rows(0, 1))
	q := quick
	q.silence = 4 * flushEvery
	b, err := attach(t.Context(), "PORT", p, q)
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	ctx, stop := context.WithCancel(t.Context())
	s := flushed{stop: stop}
	if err := Record(ctx, b, &s, func(*Line) {}); err != nil || s.first != 5 {
		t.Errorf("%v, %d lines at the first flush", err, s.first)
	}
}

// flushed ends a recording at the first flush.
type flushed struct {
	store
	first int
	stop  func()
}

func (f *flushed) Flush() error {
	if f.first == 0 {
		f.first = len(f.lines)
		f.stop()
	}
	return f.store.Flush()
}

// TestUnpluggedWhileRecording: all that came is kept and flushed, down to the
// half line at the end.
func TestUnpluggedWhileRecording(t *testing.T) {
	p := &boardtest.Port{}
	p.Send(header + rows(0, 100) + "33600,10")
	b, err := connect(t, p)
	if err != nil {
		t.Fatal(err)
	}
	p.Unplug()
	var s store
	var tally Tally
	err = Record(t.Context(), b, &s, func(l *Line) { tally.Take(l) })
	wantProblem(t, err, Unplugged, "PORT: the board was unplugged (unplugged)")
	if tally.Sets != 100 || tally.Damaged != 1 || s.flushed != 4+100+1 || s.lines[104] != "33600,10" {
		t.Errorf("%+v, %d lines flushed", tally, s.flushed)
	}
}

func TestSilentWhileRecording(t *testing.T) {
	p := &boardtest.Port{}
	p.Send(header + rows(0, 10))
	b, err := connect(t, p)
	if err != nil {
		t.Fatal(err)
	}
	var s store
	err = Record(t.Context(), b, &s, func(*Line) {})
	wantProblem(t, err, Silent, "PORT: nothing has come for 300ms")
	if s.flushed != 14 {
		t.Errorf("%d lines flushed", s.flushed)
	}
}

// counter counts the flushes of a recording.
type counter struct{ lines, flushes int }

func (c *counter) Line([]byte) { c.lines++ }

func (c *counter) Flush() error { c.flushes++; return nil }

// TestFlushedMeanwhile: what has come is flushed while more comes.
func TestFlushedMeanwhile(t *testing.T) {
	p := &boardtest.Port{}
	p.Send(header)
	b, err := connect(t, p)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	var c counter
	go func() {
		for i := uint32(0); ctx.Err() == nil; i++ {
			p.Send(rows(i*336, 1))
			time.Sleep(10 * time.Millisecond)
		}
	}()
	err = Record(ctx, b, &c, func(*Line) {
		if c.flushes == 2 {
			stop()
		}
	})
	if err != nil || c.flushes != 3 {
		t.Errorf("%v, %+v", err, c)
	}
}

// TestFullDiskEndsRecording: a recording that cannot be written on ends.
func TestFullDiskEndsRecording(t *testing.T) {
	p := &boardtest.Port{}
	p.Send(header + rows(0, 5))
	b, err := connect(t, p)
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		for i := range uint32(100) {
			p.Send(rows(i*336, 1))
			time.Sleep(10 * time.Millisecond)
		}
	}()
	if err := Record(t.Context(), b, failing{}, func(*Line) {}); !errors.Is(err, errFull) {
		t.Error(err)
	}
}

var errFull = errors.New("full")

type failing struct{}

func (failing) Line([]byte) {}

func (failing) Flush() error { return errFull }

// TestRecordEnds: the end of the context is no error, and what came is flushed.
func TestRecordEnds(t *testing.T) {
	p := &boardtest.Port{}
	p.Send(header + rows(0, 10))
	b, err := connect(t, p)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	var s store
	err = Record(ctx, b, &s, func(l *Line) {
		if l.Row.TimeUS == 9*336 {
			stop()
		}
	})
	if err != nil || s.flushed != 14 {
		t.Errorf("%v, %d lines flushed", err, s.flushed)
	}
}
