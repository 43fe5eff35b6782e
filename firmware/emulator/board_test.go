package emulator_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"handspin/capture/line"
	"handspin/firmware/emulator"
)

const (
	// What the phase values may differ from the true wave, in counts. Rounding
	// alone gives 1/sqrt(12) = 0.29, less by the square root of the sets summed.
	rmsCounts = 0.5
	// The header gives the lag of Hall edges in whole microseconds, and so are
	// the stamps.
	lagToleranceUS = 1
	// In the fast mode sets are 3 conversions of 14 clocks of 4 us apart; in the
	// safe mode, of 8 us.
	fastSetUS, safeSetUS = 168, 336
)

// TestMinute: over a minute at the full rate nothing is lost, every edge has its
// stamp and the phases are what they were.
func TestMinute(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	const seconds = 60
	w := turn(seconds, 75) // 450 edges a second
	r := record(t, &w.script, emulator.Options{})
	lag := r.compareEdges(t, w.edges)
	if said := numbers(t, r.header["hall_lag_us"])[0]; math.Abs(lag-said) > lagToleranceUS {
		t.Errorf("edges are %.2f us late, the header says %g", lag, said)
	}
	if rms := r.errorsOf(t, w, 2, fastSetUS); slices.Max(rms[:]) > rmsCounts {
		t.Errorf("the phases are off by %.2f counts", rms)
	}
	if rate := float64(len(r.sets)) / seconds; rate < 2900 {
		t.Errorf("%.0f sets a second", rate)
	}
	if r.dropped != [2]int{} || r.reports < seconds-2 {
		t.Errorf("dropped %v in %d reports", r.dropped, r.reports)
	}
	r.compareLevels(t)
	r.checkBudget(t)
	t.Logf("edges %.2f us late, phases off by %.2f counts, %d sets, %v", lag, r.errorsOf(t, w, 2, fastSetUS), len(r.sets), r.Counts)
}

// compareLevels: a set has the levels of the last edge before it.
func (r *recorded) compareLevels(t *testing.T) {
	t.Helper()
	for _, s := range r.sets {
		if want := r.levelsAt(s.TimeUS); s.Hall != want {
			t.Fatalf("at %d us the levels are %s, after the last edge %s", s.TimeUS, s.Hall, want)
		}
	}
}

// checkBudget: the processor has time left, and no interrupt holds up others for
// long. The numbers are those of the vectors in the data sheet.
func (r *recorded) checkBudget(t *testing.T) {
	t.Helper()
	if share := float64(r.Counts["busy"]) / float64(r.Counts["cycles"]); share > 0.85 || share < 0.1 {
		t.Errorf("the processor is busy %.0f %% of the time", share*100)
	}
	for name, limit := range map[string]int64{
		// An edge that waits for all of one of these, and 3 us for its own
		// entry, is still stamped within 10 us.
		"longest_13": 7 * 16, // the clock's overflow
		"longest_19": 7 * 16, // a byte to send
		// Two edges this close are apart in the recording.
		"longest_3": 12 * 16, // a Hall edge
		// A conversion takes 52 us, and others come in between: by its end the
		// last one's interrupt must be over.
		"longest_21": 52 * 16,
	} {
		if took := r.Counts[name]; took == 0 || took > limit {
			t.Errorf("%s is %d cycles, at most %d", name, took, limit)
		}
	}
}

// TestSafeMode: the same in the safe mode.
func TestSafeMode(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	const seconds = 5
	w := turn(seconds, 75)
	w.script.Command(2000, "mode safe")
	r := record(t, &w.script, emulator.Options{})
	r.compareEdges(t, w.edges)
	// What was sampled before the command is in the old scale.
	r.sets = slices.DeleteFunc(r.sets, func(s row) bool { return s.TimeUS < firstEdgeUS })
	if rms := r.errorsOf(t, w, 3, safeSetUS); slices.Max(rms[:]) > rmsCounts {
		t.Errorf("the phases are off by %.2f counts", rms)
	}
	if rate := float64(len(r.sets)) / seconds; rate < 950 || rate > 1050 {
		t.Errorf("%.0f sets a second", rate)
	}
	if r.header["mode"] != "safe" || r.header["baud"] != "500000" || r.dropped != [2]int{} {
		t.Errorf("%q, dropped %v", r.header, r.dropped)
	}
}

// TestFlood: at 3,600 edges a second all of them are kept. Sets find no room, and
// the board says how many.
func TestFlood(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	w := turn(5, 600)
	w.script.Command(4.8e6, "stop") // so that nothing is under way at the end
	w.edges = slices.DeleteFunc(w.edges, func(e edge) bool { return e.us > 4.8e6 })
	r := record(t, &w.script, emulator.Options{})
	r.edges = r.edges[:min(len(r.edges), len(w.edges)+1)] // some come while the command arrives
	r.compareEdges(t, w.edges)
	sets := (int(r.Counts["conversions"]) - firstConversions*headers) / 6
	if r.dropped[0] == 0 || len(r.sets)+r.dropped[0] != sets || r.dropped[1] != 0 {
		t.Errorf("%d sets were taken, %d came, %d were said to be dropped, and %d edges", sets, len(r.sets), r.dropped[0], r.dropped[1])
	}
	if r.header["sets"] != fmt.Sprint(len(r.sets)) {
		t.Errorf("%d sets came, the board says %s", len(r.sets), r.header["sets"])
	}
}

// After each header one conversion is for settling only.
const firstConversions, headers = 1, 1

// TestDroppedEdges: edges that come faster than the line takes them are counted
// when they are lost, to the last one.
func TestDroppedEdges(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	var w turning
	w.script.Wave(0, [3]float64{})
	const n, from, step = 3000, 30000, 50 // 20,000 a second; the line takes some 5,000
	for i := range n {
		w.hall(from+float64(i)*step, states[i%6])
	}
	w.script.End(2.5e6)
	r := record(t, &w.script, emulator.Options{})
	if r.dropped[1] == 0 || len(r.edges)-1+r.dropped[1] != n {
		t.Errorf("of %d edges %d came and %d were said to be dropped", n, len(r.edges)-1, r.dropped[1])
	}
	if r.header["edges"] != fmt.Sprint(len(r.edges)) {
		t.Errorf("%d edges came, the board says %s", len(r.edges), r.header["edges"])
	}
}

// TestWrap: the counter wraps in the middle, and stamps go on as if it did not.
func TestWrap(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	base, err := emulator.Address("clock_base")
	if err != nil {
		t.Fatal(err)
	}
	w := turn(2, 50)
	// At 10,000 us no overflow has been counted yet. Half a second before the
	// wrap, in overflows of 32,768 us.
	const ahead = 1<<32 - 16*32768
	w.script.Poke(10000, base, ahead&(1<<32-1))
	r := record(t, &w.script, emulator.Options{})
	for i := range r.edges {
		r.edges[i].TimeUS -= ahead & (1<<32 - 1)
	}
	r.compareEdges(t, w.edges)
	for i := range r.sets[1:] {
		// A set is 336 us, and 392 while stamps are long, up to the wrap; the first
		// ones are before the counter was set. One missing would be twice that.
		if d := r.sets[i+1].TimeUS - r.sets[i].TimeUS; i > 20 && (d < 330 || d > 430) {
			t.Errorf("%d us from set %d to the next", d, i)
		}
	}
	if last := r.sets[len(r.sets)-1].TimeUS; last > 2e6 {
		t.Errorf("the last stamp is %d: the counter did not wrap", last)
	}
}

// TestNoise: noise averages out; what is left beside it is the wave.
func TestNoise(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	w := turn(3, 40)
	const noiseMV = 10
	r := record(t, &w.script, emulator.Options{NoiseMV: noiseMV, Seed: 1})
	// Two conversions are summed: noise falls by the square root of two.
	want := math.Hypot(noiseMV*1024.0/5000, 1/math.Sqrt(12)) / math.Sqrt2
	for lead, rms := range r.errorsOf(t, w, 2, fastSetUS) {
		if math.Abs(rms-want) > 0.1*want { // of some 9,000 values, with what the mean loses
			t.Errorf("p%d scatters by %.2f counts, want %.2f", lead+1, rms, want)
		}
	}
}

// TestReset: a board that is reset in the middle sends its header again, and what
// came before is whole, but for the line that was cut.
func TestReset(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	var s emulator.Script
	s.Wave(0, [3]float64{2500, 2500, 2500})
	s.Reset(500000)
	s.End(1e6)
	sent, _ := emulator.Run(t, &s, emulator.Options{})
	parts := strings.Split(string(sent), string(line.Append(nil, []byte("# handspin-capture: 1")))+"\n")
	if len(parts) != 3 || parts[0] != "" {
		t.Fatalf("%d headers", len(parts)-1)
	}
	lines := strings.SplitAfter(parts[1], "\n")
	for _, l := range lines[:len(lines)-1] {
		_, err := line.ParseRow([]byte(strings.TrimSuffix(l, "\n")))
		if err != nil && l[0] != '#' && l != line.Names+"\n" {
			t.Errorf("%q: %v", l, err)
		}
	}
}

type row = line.Row
