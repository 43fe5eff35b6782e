package board

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"syscall"
	"testing"
	"time"

	"handspin/capture/board/boardtest"
	"handspin/capture/line"
)

// header is what the board sends first, cut to what matters here.
const header = "# handspin-capture: 1\n# board: atmega328p 1.0\n# full_scale: 2046\n" + line.Names + "\n"

// summed returns lines with their sums, as the board sends its header lines.
func summed(lines ...string) string {
	var text []byte
	for _, l := range lines {
		text = append(line.Append(text, []byte(l)), '\n')
	}
	return string(text)
}

// summedHeader is the header with its sums.
var summedHeader = summed("# handspin-capture: 1", "# board: atmega328p 1.0", "# full_scale: 2046") + line.Names + "\n"

// rows returns n sets of the board from a time on, a usual step apart.
func rows(from uint32, n int) string {
	var text []byte
	for i := range n {
		r := line.Row{TimeUS: from + uint32(i)*336, Hall: 5, Phase: [3]uint16{1000 + uint16(i%7), 1023, 1046}}
		text = append(line.AppendRow(text, r), '\n')
	}
	return string(text)
}

// quick are times to wait that a test has.
var quick = patience{
	header: 300 * time.Millisecond, ask: 60 * time.Millisecond, again: 100 * time.Millisecond,
	other: 200 * time.Millisecond, answer: 200 * time.Millisecond, silence: 300 * time.Millisecond,
	damaged: 50 * time.Millisecond,
}

func connect(t *testing.T, p *boardtest.Port) (*Board, error) {
	t.Helper()
	b, err := attach(t.Context(), "PORT", p, quick)
	if err == nil {
		t.Cleanup(func() { b.Close() })
	}
	return b, err
}

// wantProblem asserts an error's problem, message and that there is a hint.
func wantProblem(t *testing.T, err error, p Problem, message string) {
	t.Helper()
	e, ok := errors.AsType[*Error](err)
	if !ok || e.Problem != p || e.Error() != message || e.Hint == "" {
		t.Errorf("got %#v, want %q", err, message)
	}
}

// TestFound: the header is found through what a reset, a boot loader and a line
// cut in half leave before it, and nothing that belongs to the recording is lost.
func TestFound(t *testing.T) {
	for name, before := range map[string]string{
		"at once":      "",
		"noise":        "\x00\xff\xf8\x80#\x81# \x1b[2J",
		"half a line":  ",514,508,511*0C\n",
		"old rows":     rows(123456, 50),
		"half a magic": "# handspin-cap",
		"old header":   header + rows(99, 3),
	} {
		p := &boardtest.Port{}
		p.Send(before + header + rows(7000, 5))
		b, err := connect(t, p)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		p.Unplug()
		var got strings.Builder
		for err == nil {
			err = b.Read(t.Context(), func(l Line) { got.WriteString(string(l.Text) + "\n") })
		}
		if want := header + rows(7000, 5); !strings.HasSuffix(got.String(), want) || !strings.HasPrefix(got.String(), "# handspin-capture: 1\n") {
			t.Errorf("%s: got %q", name, got.String())
		}
	}
}

// TestAsked: a board that is not reset when its port is opened is asked for its
// header.
func TestAsked(t *testing.T) {
	p := &boardtest.Port{Answer: func(command string, _ int) string {
		if command == "header" {
			return "# ok: header\n" + header
		}
		return ""
	}}
	p.Send(rows(5, 20))
	if _, err := connect(t, p); err != nil {
		t.Error(err)
	}
}

// TestOtherRate: a board that was left in its safe mode is found at its rate.
func TestOtherRate(t *testing.T) {
	p := &boardtest.Port{Answer: func(command string, baud int) string {
		if baud == SafeBaud {
			return header
		}
		return strings.Repeat("\xf3\x80\xe1", 50)
	}}
	if _, err := connect(t, p); err != nil || len(p.Baud) != 1 || p.Baud[0] != SafeBaud {
		t.Errorf("%v, %d", err, p.Baud)
	}
}

func TestNotFound(t *testing.T) {
	for name, c := range map[string]struct {
		text    string
		problem Problem
		message string
	}{
		"silence":   {"", Silent, "PORT: nothing comes from the port"},
		"garbage":   {strings.Repeat("\x00\xff\x80", 100), WrongBaud, "PORT: what comes is not text at 1000000 or 500000 bits per second"},
		"another":   {"T=21.5 C\r\nT=21.6 C\r\nT=2", NotOurBoard, `PORT: this is not the capture board; it sends "T=21.6 C"`},
		"endless":   {strings.Repeat("x", 1<<18), NotOurBoard, `PORT: this is not the capture board; it sends "` + strings.Repeat("x", 40) + `"`},
		"version":   {"# handspin-capture: 2\n", WrongVersion, `PORT: the board sends version "2" of the format, this program reads version 1`},
		"no number": {"# handspin-capture: \n", WrongVersion, `PORT: the board sends version "" of the format, this program reads version 1`},
	} {
		p := &boardtest.Port{}
		p.Send(c.text)
		_, err := connect(t, p)
		t.Log(name)
		wantProblem(t, err, c.problem, c.message)
	}
}

func TestUnpluggedWhileLookedFor(t *testing.T) {
	p := &boardtest.Port{}
	p.Unplug()
	_, err := connect(t, p)
	wantProblem(t, err, Unplugged, "PORT: the board was unplugged (unplugged)")
}

func TestGivenUpWhileLookedFor(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if _, err := attach(ctx, "PORT", &boardtest.Port{}, quick); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

func TestCommand(t *testing.T) {
	p := &boardtest.Port{Answer: func(command string, _ int) string {
		switch command {
		case "stop":
			return rows(0, 2) + "# ok: stop\n"
		case "header":
			return rows(0, 1) + "# ok: header\n" + header + rows(0, 1) + "33"
		case "sing":
			return "# refused: sing\n"
		}
		return rows(0, 1) // busy, but deaf
	}}
	p.Send(header)
	b, err := connect(t, p)
	if err != nil {
		t.Fatal(err)
	}
	var seen int
	take := func(l Line) {
		if l.Kind == Row {
			seen++
		}
	}
	if err := b.Command(t.Context(), "stop", take); err != nil || seen != 2 {
		t.Errorf("%v, %d rows", err, seen)
	}
	if err := b.Command(t.Context(), "header", take); err != nil || seen != 3 {
		t.Errorf("%v, %d rows", err, seen)
	}
	var behind []string
	p.Send("6,101,,,\n")
	for len(behind) < 6 && err == nil {
		err = b.Read(t.Context(), func(l Line) { behind = append(behind, string(l.Text)) })
	}
	if got := strings.Join(behind, "\n"); err != nil || got != header+rows(0, 1)+"336,101,,," {
		t.Errorf("%v, %q", err, got)
	}
	wantProblem(t, b.Command(t.Context(), "sing", take), NoAnswer, `PORT: the board does not know "sing"`)
	wantProblem(t, b.Command(t.Context(), "dance", take), NoAnswer, `PORT: the board does not answer "dance"`)
	p.Unplug()
	wantProblem(t, b.Command(t.Context(), "stop", take), Unplugged, "PORT: the board cannot be written to: unplugged")
}

// TestSafe: the rate changes after the answer, and the header is asked for at the
// new one.
func TestSafe(t *testing.T) {
	p := &boardtest.Port{Answer: func(command string, baud int) string {
		switch {
		case command == "mode safe":
			return "# ok: mode safe\n\xff\x80"
		case command == "header" && baud == SafeBaud:
			return header
		}
		return ""
	}}
	p.Send(header)
	b, err := connect(t, p)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.Set(t.Context(), Settings{"safe", "supply"}, func(Line) {}); err != nil {
		t.Error(err)
	}
}

func TestExplain(t *testing.T) {
	if e, _ := errors.AsType[*Error](explain("PORT", errors.New("odd"))); e.Problem != Failed || e.Error() != "PORT: the port cannot be opened: odd" {
		t.Errorf("%+v", e)
	}
	if e, _ := errors.AsType[*Error](explain("PORT", fmt.Errorf("open: %w", syscall.EBUSY))); e.Problem != Busy {
		t.Errorf("%+v", e)
	}
	if e, _ := errors.AsType[*Error](explain("/nonexistent", fs.ErrPermission)); e.Problem != NoPermission || e.Hint == "" {
		t.Errorf("%+v", e)
	}
}

func TestUsable(t *testing.T) {
	all := []string{"/dev/tty.usb", "/dev/cu.usb", "/dev/cu.bt", "/dev/cu.usb"}
	if got := usable("darwin", all); fmt.Sprint(got) != "[/dev/cu.bt /dev/cu.usb]" {
		t.Errorf("%q", got)
	}
	if got := usable("linux", []string{"/dev/ttyUSB1", "/dev/ttyACM0"}); fmt.Sprint(got) != "[/dev/ttyACM0 /dev/ttyUSB1]" {
		t.Errorf("%q", got)
	}
}
