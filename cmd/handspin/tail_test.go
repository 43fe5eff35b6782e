package main

import (
	"io"
	"os"
	"runtime"
	"strings"
	"testing"

	"handspin/capture/board"
	"handspin/capture/line"
)

// TestTail: the header and the last rows are kept, from a whole line on, and a new
// header begins anew.
func TestTail(t *testing.T) {
	var tl tail
	add := func(text string) {
		var d board.Decoder
		d.Feed([]byte(text+"\n"), func(l board.Line) { tl.add(&l) })
	}
	add("# handspin-capture: 1\n# mode: fast\n" + line.Names)
	row := string(line.AppendRow(nil, line.Row{TimeUS: 1e9, Hall: 5, Phase: [3]uint16{1, 2, 3}}))
	for range 3 * maxTail / len(row) {
		add(row + "\n# sets: 5")
	}
	text := string(tl.text())
	begin := "# handspin-capture: 1\n# mode: fast\n" + line.Names + "\n"
	if !strings.HasPrefix(text, begin+row+"\n"+row) || !strings.HasSuffix(text, row+"\n") || strings.Contains(text, "sets") {
		t.Errorf("%.200s", text)
	}
	if n := len(text) - len(begin); n < maxTail/3 || n > maxTail {
		t.Errorf("%d bytes", n)
	}
	add("# handspin-capture: 1\n" + row)
	if got := string(tl.text()); got != "# handspin-capture: 1\n"+line.Names+"\n"+row+"\n" {
		t.Errorf("%q", got)
	}
}

// hourOf feeds so many sets, as the board in its safe mode sends them.
func hourOf(sets int, take func(*board.Line)) {
	var d board.Decoder
	var now board.Line
	var text []byte
	for i := 0; i < sets; {
		text = text[:0]
		for range 100 {
			v := uint16(1500 + i%700)
			text = append(line.AppendRow(text, line.Row{TimeUS: uint32(i) * 1008, Hall: order120[i/50%6], Phase: [3]uint16{v, v, v}}), '\n')
			i++
		}
		d.Feed(text, func(l board.Line) {
			now = l
			take(&now)
		})
	}
}

// TestHour: an hour takes no more memory than a minute: the guide keeps some
// seconds of it, whatever comes, and the file's lines until they are flushed.
func TestHour(t *testing.T) {
	g := newGuided(false)
	g.enough = true // so that nothing is judged
	g.guide.out = io.Discard
	heap := func() uint64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	const perSecond = 992
	log, err := board.Create(os.DevNull, true)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	take := func(l *board.Line) {
		g.take(l)
		log.Line(l.Text)
		if g.tally.Sets%perSecond == 0 {
			log.Flush()
		}
	}
	hourOf(60*perSecond, take)
	before := heap()
	hourOf(3600*perSecond, take)
	// Some noise of the tests around; the hour itself is over 100 MB of text.
	if after := heap(); after > before+4<<20 {
		t.Errorf("%d bytes more", after-before)
	}
	if g.tally.Sets < 3600*perSecond {
		t.Errorf("%d sets", g.tally.Sets)
	}
}

// TestJudgingCost: what a judgement costs puts the next one off, but for no longer
// than a person waits, and without turns there is nothing to judge.
func TestJudgingCost(t *testing.T) {
	var j judging
	if j.due(10, judgedTurns-1) || j.due(judgedFirst-1, 8) || !j.due(10, 8) {
		t.Fatal("not due at first")
	}
	for cost, wait := range map[float64]float64{0.02: 1, 1: judgedWithin} {
		j.took(cost, 10)
		if j.due(10+wait-0.1, 50) || j.due(10+wait, 8) {
			t.Errorf("the next judgement does not wait for the time that one of %g s earned", cost)
		}
		if next := j; !next.due(10+wait, 50) {
			t.Errorf("after one of %g s the next judgement waits longer than %g s", cost, wait)
		}
	}
}

// BenchmarkJudging is one judgement of a full tail, of which there is at most one
// per fifty times its length, and one in five seconds where it takes long.
func BenchmarkJudging(b *testing.B) {
	rec, _ := boardMotor(8).Record()
	g := newGuided(false)
	g.guide.out = io.Discard
	g.enough = true // so that nothing is judged meanwhile
	for i := range rec.Time {
		r := line.Row{TimeUS: uint32(rec.Time[i] * 1e6), Hall: rec.Hall[i], Edge: rec.Edge[i]}
		for p := range r.Phase {
			if !r.Edge {
				r.Phase[p] = uint16(rec.Columns[p].Value[i])
			}
		}
		g.feed(string(line.AppendRow(nil, r)))
	}
	b.ReportAllocs()
	for b.Loop() {
		g.tellsEnough()
	}
	b.ReportMetric(float64(len(g.tail.rows)), "B-judged")
}

// BenchmarkGuide is the whole way of a line, without the port and the judging.
func BenchmarkGuide(b *testing.B) {
	g := newGuided(false)
	g.enough = true
	g.guide.out = io.Discard
	var m memory
	b.ReportAllocs()
	const lines = 1000
	for b.Loop() {
		m.Reset()
		hourOf(lines, func(l *board.Line) {
			g.take(l)
			m.Line(l.Text)
		})
	}
	b.ReportMetric(float64(b.N)*lines/b.Elapsed().Seconds(), "lines/s")
}
