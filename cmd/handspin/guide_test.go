package main

import (
	"bytes"
	"strings"
	"testing"

	"handspin/capture"
	"handspin/capture/board"
	"handspin/capture/line"
)

// order are the states that a turning rotor passes, with sensors 120 degrees apart
// and with sensors 60 degrees apart.
var order120, order60 = []capture.Levels{5, 4, 6, 2, 3, 1}, []capture.Levels{0, 4, 6, 7, 3, 1}

// TestTurnCounter: turns are counted both ways whatever the sensors' spacing, and
// with one sensor dead.
func TestTurnCounter(t *testing.T) {
	for name, c := range map[string]struct {
		order []capture.Levels
		mask  capture.Levels
	}{
		"120 degrees": {order120, 7}, "60 degrees": {order60, 7}, "h1 dead": {order120, 3}, "h2 dead": {order60, 5}, "h3 dead": {order120, 6},
	} {
		var counter turnCounter
		at := 600
		for _, step := range []int{5 * 6, -2 * 6} { // turns of six steps
			for range max(step, -step) {
				if step > 0 {
					at++
				} else {
					at--
				}
				counter.take(c.order[at%6] & c.mask)
			}
		}
		// The first level is no step, and where the rotor turns back less than
		// a quarter of a turn may be lost.
		if f, b := counter.forward(), counter.backward(); f < 4.5 || f > 5 || b < 1.5 || b > 2 {
			t.Errorf("%s: %g turns, %g back", name, f, b)
		}
	}
}

func TestBoardClock(t *testing.T) {
	var c boardClock
	for _, us := range []uint32{1<<32 - 500000, 1<<32 - 400000, 1<<32 - 450000, 100000, 5e8, 5e8 + 250000} {
		c.take(us)
	}
	// 0.1 s, an edge that is older, 0.5 s over the wrap, a restart, 0.25 s.
	if c.seconds() != 0.85 {
		t.Errorf("%g s", c.seconds())
	}
}

// guided is a guide that has seen rows of a turning motor, and what it printed.
type guided struct {
	*guide
	out bytes.Buffer
	us  uint32
}

func newGuided(terminal bool) *guided {
	g := &guided{}
	var ask question
	ask.flags()
	g.guide = newGuide(&g.out, ask, false)
	g.terminal = terminal
	g.feed("# full_scale: 2046")
	return g
}

func (g *guided) feed(text string) {
	var d board.Decoder
	d.Feed([]byte(text+"\n"), func(l board.Line) { g.take(&l) })
}

// turn feeds n steps of the rotor, ten sets of the board each. The columns swing
// by the given counts about the middle.
func (g *guided) turn(n int, swing [3]int) {
	var text []byte
	for i := range n {
		for k := range 10 {
			r := line.Row{TimeUS: g.us, Hall: order120[i%6]}
			for p := range r.Phase {
				r.Phase[p] = uint16(min(1023+swing[p]*(k%2*2-1), 2046))
			}
			text = append(line.AppendRow(text, r), '\n')
			g.us += 1000
		}
	}
	g.feed(strings.TrimSuffix(string(text), "\n"))
}

// TestGuide: what the person is told. Shares are the swing both ways over the
// range; a step is 10 ms, a turn six of them. The 59 steps are 9.8 turns, of which
// the liveliest pair of sensors has seen 40 quarters.
func TestGuide(t *testing.T) {
	readme := readFile(t, "../../firmware/README.md")
	for name, c := range map[string]struct {
		swing [3]int
		more  string
		want  string
	}{
		"good":    {[3]int{300, 300, 300}, "", "go on: 1 s, 10 turns, 0 back, 16.7/s, 6 states, lost 0, phases 29/29/29 %"},
		"slow":    {[3]int{9, 9, 9}, "", "faster: 1 s, 10 turns, 0 back, 16.7/s, 6 states, lost 0, phases 1/1/1 %"},
		"dead":    {[3]int{300, 9, 300}, "", "p2 dead: 1 s, 10 turns, 0 back, 16.7/s, 6 states, lost 0, phases 29/1/29 %"},
		"clipped": {[3]int{300, 300, 1023}, "", "slower: 1 s, 10 turns, 0 back, 16.7/s, 6 states, lost 0, phases 29/29/clip %"},
		"all cut": {[3]int{1023, 1023, 1023}, "", "slower: 1 s, 10 turns, 0 back, 16.7/s, 6 states, lost 0, phases clip"},
		"lossy":   {[3]int{300, 300, 300}, "# dropped: 4,1\n1,101,5", "go on: 1 s, 10 turns, 0 back, 16.7/s, 6 states, lost 6, phases 29/29/29 %"},
	} {
		g := newGuided(false)
		g.turn(60, c.swing)
		g.feed(c.more)
		if got := g.status(); got != c.want {
			t.Errorf("%s: %s", name, got)
		}
		if advice, _, _ := strings.Cut(c.want, ":"); !strings.Contains(readme, "| `"+advice+"` |") {
			t.Errorf("README does not explain %q", advice)
		}
	}
	g := newGuided(false)
	g.turn(60, [3]int{300, 300, 300})
	g.status()
	// A set that comes behind a later edge is no turning back.
	g.feed(string(line.AppendRow(nil, line.Row{TimeUS: g.us, Hall: order120[0], Edge: true})))
	g.feed(string(line.AppendRow(nil, line.Row{TimeUS: g.us - 100, Hall: order120[5], Phase: [3]uint16{1000, 1000, 1000}})))
	g.us += 1e6
	// Its phases are 100: the swing is from there to 1323 of 2046. At 0 they
	// would be clipped.
	g.feed(string(line.AppendRow(nil, line.Row{TimeUS: g.us, Hall: order120[0], Phase: [3]uint16{100, 100, 100}})))
	if got := g.status(); got != "push it: 2 s, 10 turns, 0 back, 0.0/s, 6 states, lost 0, phases 60/60/60 %" {
		t.Error(got)
	}
}

// TestGuideLine: on a terminal one line changes and fits; elsewhere there are
// whole lines.
func TestGuideLine(t *testing.T) {
	g := newGuided(true)
	g.turn(60, [3]int{300, 300, 300})
	g.print()
	g.end()
	lines := strings.Split(g.out.String(), "\r")
	if len(lines) != 3 || len(lines[1]) != usualWidth-1 || !strings.HasSuffix(lines[2], "\n") || strings.Count(g.out.String(), "\n") != 1 {
		t.Errorf("%q", lines)
	}
	g = newGuided(false)
	g.end()
	if got := g.out.String(); got != "handspin: push it: 0 s, 0 turns, 0 back, 0.0/s, 0 states, lost 0, phases 0/0/0 %\n" {
		t.Errorf("%q", got)
	}
}

// TestFitting: ten minutes and 999 turns fit a terminal of 80 columns, whatever
// the advice; a narrower one loses whole parts.
func TestFitting(t *testing.T) {
	for _, advice := range []string{"enough", "p2 dead", "slower"} {
		text := advice + ": 600 s, 999 turns, 99 back, 16.7/s, 6 states, lost 0, phases 29/1/29 %"
		if got := fitting(text, usualWidth-1); got != text {
			t.Errorf("%s is cut to %s", text, got)
		}
	}
	const text = "go on: 1 s, 10 turns"
	for width, want := range map[int]string{4: "go o", 10: "go on: 1 s", 19: "go on: 1 s", 20: text, 90: text} {
		if got := fitting(text, width); got != want {
			t.Errorf("%d columns: %q", width, got)
		}
	}
}

// TestBegin: the person is told how the recording ends.
func TestBegin(t *testing.T) {
	for stop, want := range map[bool]string{false: "; Ctrl-C ends the recording\n", true: " by itself, or with Ctrl-C\n"} {
		g := newGuided(true)
		g.stop = stop
		if g.begin(); !strings.HasSuffix(g.out.String(), want) {
			t.Errorf("%q", g.out.String())
		}
	}
}

func TestAmend(t *testing.T) {
	s := session{leads: capture.Leads{Phase: [3]string{"red"}}}
	s.divider.got = 22
	var got []string
	var d board.Decoder
	d.Feed([]byte("# handspin-capture: 1\n# divider: 11\n# volts_per_count: 0.026855\n# sets: 1\n"), func(l board.Line) {
		s.amend(&l)
		got = append(got, string(l.Text))
	})
	want := "# handspin-capture: 1\n# leads: p1=red|# divider: 22|# volts_per_count: 0.053710|# sets: 1" // twice as much
	if strings.Join(got, "|") != want {
		t.Errorf("%q", got)
	}
}

// TestClipped: at either end, in the present window only; a column without bias
// rests at the lower end.
func TestClipped(t *testing.T) {
	for name, c := range map[string]struct {
		values []float64
		want   bool
	}{
		"neither":        {[]float64{500, 900, 100}, false},
		"top":            {[]float64{500, 1023, 100}, true},
		"bottom":         {[]float64{700, 900, 0}, true},
		"without bias":   {[]float64{0, 0, 900, 0}, false},
		"top unbiased":   {[]float64{0, 0, 1023, 0}, true},
		"nothing so far": {nil, false},
	} {
		var p phaseRange
		for _, v := range c.values {
			p.take(v)
		}
		if p.clipped(1023) != c.want {
			t.Errorf("%s: clipped %v", name, !c.want)
		}
		p.window()
		p.take(600)
		if p.clipped(1023) {
			t.Errorf("%s: still clipped", name)
		}
	}
}
