package main

import (
	"fmt"
	"io"
	"math/bits"
	"strconv"
	"strings"
	"time"

	"handspin/capture/board"
	"handspin/capture/csvfile"
	"handspin/commutation"
)

// guide follows a recording while it is made and tells the person what is missing.
type guide struct {
	out      io.Writer
	terminal bool
	ask      question
	stop     bool // end when it is enough

	tally board.Tally
	clock boardClock
	turns turnCounter
	// states has a bit for each Hall state seen.
	states uint8
	phases [3]phaseRange
	scale  float64 // the largest value of a phase column

	tail   tail
	judged judging
	enough bool

	shown   time.Time
	showing shown
}

// shown is what the guide had counted when it last printed, and the speed before
// that in turns per second.
type shown struct{ seconds, turns, speed float64 }

// How often the line changes on a terminal, and how often one is printed
// elsewhere.
const (
	terminalEvery = 200 * time.Millisecond
	plainEvery    = 2 * time.Second
)

func newGuide(out io.Writer, ask question, stop bool) *guide {
	return &guide{out: out, terminal: isTerminal(out), ask: ask, stop: stop, scale: 1023, shown: time.Now()}
}

// take follows one line of the board.
func (g *guide) take(l *board.Line) {
	g.tally.Take(l)
	g.tail.add(l)
	switch l.Kind {
	case board.Header:
		if full, err := strconv.ParseFloat(l.Value, 64); l.Key == "full_scale" && err == nil && full > 0 {
			g.scale = full
		}
	case board.Row:
		g.row(l)
	}
	g.show()
}

func (g *guide) row(l *board.Line) {
	// The board sends edges first: the levels of a set that is older are old.
	if g.clock.take(l.Row.TimeUS) {
		g.turns.take(l.Row.Hall)
		g.states |= 1 << l.Row.Hall
	}
	if l.Row.Edge {
		return
	}
	for i, v := range l.Row.Phase {
		g.phases[i].take(float64(v))
	}
	if !g.enough && g.judged.due(g.seconds(), g.turns.total()) {
		begin := time.Now()
		g.enough = g.tellsEnough()
		g.judged.took(time.Since(begin).Seconds(), g.seconds())
	}
}

func (g *guide) seconds() float64 { return g.clock.seconds() }

// finished reports whether the recording is to end.
func (g *guide) finished() bool { return g.stop && g.enough }

// tellsEnough reports whether the recording so far carries a verdict.
func (g *guide) tellsEnough() bool {
	rec, err := csvfile.Parse(g.tail.text(), "recording", csvfile.Options{})
	if err != nil {
		return false
	}
	a, err := g.ask.answer(rec)
	return err == nil && a.Verdict != commutation.MoreData
}

// show prints where the recording stands, when it is time.
func (g *guide) show() {
	every := plainEvery
	if g.terminal {
		every = terminalEvery
	}
	if now := time.Now(); now.Sub(g.shown) >= every {
		g.shown = now
		g.print()
	}
}

// usualWidth is that of a terminal which does not tell.
const usualWidth = 80

// lineWidth is the terminal's width, less one: a full line would wrap.
func (g *guide) lineWidth() int {
	if width := widthOf(g.out); width > 1 {
		return width - 1
	}
	return usualWidth - 1
}

func (g *guide) print() {
	text := g.status()
	if g.terminal {
		width := g.lineWidth()
		fmt.Fprintf(g.out, "\r%-*s", width, fitting(text, width))
		return
	}
	fmt.Fprintf(g.out, "handspin: %s\n", text)
}

// fitting cuts a line to a width: between two of its parts, since a number that
// has lost its end is another number.
func fitting(text string, width int) string {
	if len(text) <= width {
		return text
	}
	if at := strings.LastIndex(text[:width+1], ", "); at > 0 {
		return text[:at]
	}
	return text[:width]
}

// begin says what to do, before anything is recorded.
func (g *guide) begin() {
	end := "Ctrl-C ends the recording"
	if g.stop {
		end = "the recording ends by itself, or with Ctrl-C"
	}
	fmt.Fprintf(g.out, "handspin: push the rotor round; %s\n", end)
}

// end prints the last state and leaves the line.
func (g *guide) end() {
	g.print()
	if g.terminal {
		fmt.Fprintln(g.out)
	}
}

// status says in one line what has been recorded and what is missing.
func (g *guide) status() string {
	const least = 0.1 // seconds that tell a speed
	if seconds, turns := g.seconds(), g.turns.total(); seconds-g.showing.seconds >= least {
		g.showing = shown{seconds, turns, (turns - g.showing.turns) / (seconds - g.showing.seconds)}
	}
	speed := g.showing.speed
	// What to do stands first: a narrow terminal cuts the end.
	text := fmt.Sprintf("%s: %.0f s, %.0f turns, %.0f back, %.1f/s, %d states, lost %d, %s",
		g.advice(speed), g.seconds(), g.turns.forward(), g.turns.backward(), speed, bits.OnesCount8(g.states),
		g.tally.Lost()+g.tally.Damaged, g.phaseWords())
	for i := range g.phases {
		g.phases[i].window()
	}
	return text
}

// dead is the share of the range below which a phase counts as having no back-EMF.
const dead = 0.02

// phaseWords are the three phases' swings as shares of the range.
func (g *guide) phaseWords() string {
	var words []string
	clipped := 0
	for i := range g.phases {
		word := fmt.Sprintf("%.0f", 100*g.phases[i].share(g.scale))
		if g.phases[i].clipped(g.scale) {
			word = "clip"
			clipped++
		}
		words = append(words, word)
	}
	if clipped == len(words) {
		return "phases clip"
	}
	return "phases " + strings.Join(words, "/") + " %"
}

// advice is what to do next.
func (g *guide) advice(speed float64) string {
	const standing = 0.1 // turns per second
	switch {
	case g.enough:
		return "enough"
	case speed < standing:
		return "push it"
	case g.clipped():
		return "slower"
	}
	switch weak := g.weak(); len(weak) {
	case 0:
		return "go on"
	case len(g.phases):
		return "faster"
	default:
		return strings.Join(weak, " ") + " dead"
	}
}

func (g *guide) clipped() bool {
	for i := range g.phases {
		if g.phases[i].clipped(g.scale) {
			return true
		}
	}
	return false
}

// weak returns the phases that hardly moved since the last print.
func (g *guide) weak() (names []string) {
	for i := range g.phases {
		if g.phases[i].recent(g.scale) < dead {
			names = append(names, fmt.Sprintf("p%d", i+1))
		}
	}
	return names
}
