package board

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"handspin/capture/board/boardtest"
	"handspin/capture/line"
)

// emulated plays a board with modes and references. It sends noise at a rate that
// is not its own.
type emulated struct {
	boardtest.Port
	mode, reference string
	commands        []string
}

func (e *emulated) header() string {
	return summed("# handspin-capture: 1", "# mode: "+e.mode, "# reference: "+e.reference) + line.Names + "\n"
}

func (e *emulated) answer(command string, baud int) string {
	if baud == 0 {
		baud = FastBaud
	}
	if baud != baudOf[e.mode] {
		return strings.Repeat("\xf3\x80\xe1", 50)
	}
	e.commands = append(e.commands, command)
	what, to, _ := strings.Cut(command, " ")
	switch what {
	case "mode":
		e.mode = to
		return summed("# ok: " + command) // the rest goes out at the new rate
	case "reference":
		e.reference = to
	}
	return summed("# ok: "+command) + e.header() + rows(0, 2)
}

func newEmulated(mode, reference string) *emulated {
	e := &emulated{mode: mode, reference: reference}
	e.Answer = e.answer
	if mode == "fast" {
		e.Send(e.header() + rows(0, 2))
	}
	return e
}

// TestSettings: only what differs from the header is sent, whatever is asked for.
func TestSettings(t *testing.T) {
	for name, c := range map[string]struct {
		is, want Settings
		commands string
	}{
		"as it is":        {Settings{"fast", "supply"}, Settings{"fast", "supply"}, ""},
		"internal":        {Settings{"fast", "supply"}, Settings{"fast", "internal"}, "reference internal"},
		"back to supply":  {Settings{"fast", "internal"}, Settings{"fast", "supply"}, "reference supply"},
		"safe":            {Settings{"fast", "supply"}, Settings{"safe", "supply"}, "mode safe"},
		"safe, internal":  {Settings{"fast", "supply"}, Settings{"safe", "internal"}, "mode safe|reference internal"},
		"back to fast":    {Settings{"safe", "internal"}, Settings{"fast", "supply"}, "mode fast|reference supply"},
		"left in safe":    {Settings{"safe", "supply"}, Settings{"safe", "supply"}, ""},
		"left as it were": {Settings{"fast", "internal"}, Settings{}, ""},
	} {
		e := newEmulated(c.is.Mode, c.is.Reference)
		b, err := connect(t, &e.Port)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if err := b.Set(t.Context(), c.want, func(Line) {}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		b.Close()
		sent := slices.DeleteFunc(e.commands, func(c string) bool { return c == "header" })
		if got := strings.Join(sent, "|"); got != c.commands {
			t.Errorf("%s: sent %q", name, got)
		}
	}
}

// TestRestartWhileRecording: a board that begins anew is set as before, at
// whichever rate it comes back, and the restart is counted.
func TestRestartWhileRecording(t *testing.T) {
	for _, want := range []Settings{{"fast", "internal"}, {"safe", "supply"}, {"safe", "internal"}, {"fast", "supply"}} {
		e := newEmulated("fast", "supply")
		b, err := connect(t, &e.Port)
		if err != nil {
			t.Fatal(err)
		}
		if err := b.Set(t.Context(), want, func(Line) {}); err != nil {
			t.Fatal(err)
		}
		e.Send(rows(5000, 10))
		ctx, stop := context.WithTimeout(t.Context(), 10*time.Second)
		var tally Tally
		reset := false
		var last Settings
		err = Record(ctx, b, &store{}, func(l *Line) {
			tally.Take(l)
			switch {
			case l.Kind == Header && l.Key == "mode":
				last.Mode = l.Value
			case l.Kind == Header && l.Key == "reference":
				last.Reference = l.Value
			}
			if !reset && tally.Sets >= 10 {
				reset = true
				if e.mode = "fast"; want.Mode == "safe" {
					e.Send(strings.Repeat("\xf3\x80\xe1\n", 200))
					go func() { // noise goes on for a while
						for range 20 {
							time.Sleep(20 * time.Millisecond)
							e.Send("\xf3\x80\xe1\n")
						}
					}()
				}
				e.reference = "supply"
				if want.Mode == "fast" {
					e.Send(e.header() + rows(0, 5))
				}
			}
			if tally.Restarts == 1 && last == want && l.Kind == Row {
				stop()
			}
		})
		if err != nil || tally.Restarts != 1 || last != want || ctx.Err() != context.Canceled {
			t.Errorf("%v: %v, restarted %d times, set to %v, sent %q", want, err, tally.Restarts, last, e.commands)
		}
		stop()
		b.Close()
	}
}

// TestHeaderless: rows of another board, without a header, are taken; two are not
// enough, and half a line before them is left out.
func TestHeaderless(t *testing.T) {
	p := &boardtest.Port{}
	p.Send("01,1,2,3\n" + strings.Repeat("5,101,1,2,3\r\n", 12))
	b, err := connect(t, p)
	if err != nil || !b.Headerless() {
		t.Fatal(err)
	}
	p.Unplug()
	var s store
	var tally Tally
	Record(t.Context(), b, &s, func(l *Line) { tally.Take(l) })
	if tally.Sets != 12 || tally.Damaged != 0 || s.lines[0] != line.Names {
		t.Errorf("%+v %q", tally, s.lines)
	}
	p = &boardtest.Port{}
	p.Send("5,101,1,2,3\n5,101,1,2,3\n5,101,1,2,3\n")
	_, err = connect(t, p)
	wantProblem(t, err, NotOurBoard, `PORT: this is not the capture board; it sends "5,101,1,2,3"`)
}

// TestUnfinishedLine: Ctrl-C leaves out the line that is under way.
func TestUnfinishedLine(t *testing.T) {
	p := &boardtest.Port{}
	p.Send(header + rows(0, 10) + "33600,10")
	b, err := connect(t, p)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	time.AfterFunc(100*time.Millisecond, stop)
	var s store
	if err := Record(ctx, b, &s, func(*Line) {}); err != nil || len(s.lines) != 14 {
		t.Errorf("%v %q", err, s.lines)
	}
}
