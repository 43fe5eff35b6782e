package emulator_test

import (
	"fmt"
	"testing"

	"handspin/firmware/emulator"
)

// Inputs that stand still, in millivolts, and what two conversions of 1024 counts
// at 5 V sum to, each rounded down: 2*204, 2*409, 2*614.
var (
	stillMV  = [3]float64{1000, 2000, 3000}
	stillSum = [3]uint16{408, 818, 1228}
)

// TestDenseEdges: edges so dense that a conversion ends before the last one's
// interrupt is done may cost sets, but never a wrong one, nor an edge that is not
// counted, nor the board's life.
func TestDenseEdges(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	const from, end = 100e3, 0.9e6
	for _, c := range []struct {
		edges         int     // in a burst
		stepUS, apart float64 // between edges, and between bursts
	}{
		{6, 15, 2003.3}, {20, 12, 2003.3}, {20, 20, 2003.3}, {20, 8, 2003.3},
		{20000, 20, 1e6}, {20000, 15, 1e6}, {20000, 13, 1e6}, {20000, 12, 1e6}, {20000, 11, 1e6},
	} {
		var w turning
		w.script.Wave(0, stillMV)
		n := 0
		for burst := from; burst < end-c.apart/2; burst += c.apart {
			for i := range c.edges {
				w.hall(burst+float64(i)*c.stepUS, states[n%6])
				n++
			}
		}
		w.script.End(end + 1.2e6) // a report of what was dropped comes meanwhile
		r := record(t, &w.script, emulator.Options{})
		name := fmt.Sprintf("%d edges %g us apart", c.edges, c.stepUS)
		r.compareStill(t, name)
		// Closer edges can pass while another interrupt runs, and leave no trace.
		if got := len(r.edges) - 1 + r.dropped[1]; c.stepUS >= 15 && got != n {
			t.Errorf("%s: %d edges came or were said to be dropped, of %d", name, got, n)
		}
		if r.count("# handspin-capture: 1") != 1 {
			t.Errorf("%s: the board began anew", name)
		}
	}
}

// compareStill: each set has the values of the inputs, and stamps go on.
func (r *recorded) compareStill(t *testing.T, name string) {
	t.Helper()
	wrong := 0
	for i, s := range r.sets {
		if s.Phase != stillSum || i > 0 && s.TimeUS <= r.sets[i-1].TimeUS {
			wrong++
		}
	}
	if wrong > 0 || len(r.sets) < 1000 {
		t.Errorf("%s: %d of %d sets are wrong", name, wrong, len(r.sets))
	}
}

// TestLongStamps: where stamps have nine or ten digits nothing is lost either, at
// 450 edges a second. The sets are seven conversions apart instead of six.
func TestLongStamps(t *testing.T) {
	if !emulator.Ready(t) {
		return
	}
	base, err := emulator.Address("clock_base")
	if err != nil {
		t.Fatal(err)
	}
	for _, us := range []uint32{99e6, 999e6, 2e9, 4e9} {
		const seconds = 10
		w := turn(seconds, 75)
		w.script.Poke(10000, base, us/32768*32768)
		r := record(t, &w.script, emulator.Options{})
		if rate := float64(len(r.sets)) / seconds; rate < 2520 || r.dropped != [2]int{} {
			t.Errorf("from %d us: %.0f sets a second, dropped %v", us, rate, r.dropped)
		}
		if len(r.edges) != len(w.edges)+1 {
			t.Errorf("from %d us: %d edges of %d", us, len(r.edges)-1, len(w.edges))
		}
		for i := len(r.sets) / 2; i < len(r.sets); i++ {
			// 7 conversions of 14 clocks of 4 us are 392 us. Interrupts in front
			// delay some of them by a clock or two; an eighth conversion or a
			// set that is missing would show.
			if d := r.sets[i].TimeUS - r.sets[i-1].TimeUS; d < 375 || d >= 8*56 {
				t.Errorf("from %d us: %d us from set %d to the next", us, d, i)
			}
		}
		// Phases of the board's own time: the poke moved it.
		moved := us / 32768 * 32768
		for i := range r.sets {
			if r.sets[i].TimeUS >= moved {
				r.sets[i].TimeUS -= moved
			}
		}
		if rms := r.errorsOf(t, w, 2, fastSetUS); max(rms[0], rms[1], rms[2]) > rmsCounts {
			t.Errorf("from %d us: the phases are off by %.2f counts", us, rms)
		}
	}
}
