package synth

import (
	"math"
	"slices"
	"testing"
)

// A drawn configuration keeps the motion that it was chosen by, but records what it
// says: also after its spin or its motor was changed.
func TestRandomRecordsWhatItSays(t *testing.T) {
	for name, change := range map[string]func(*Config){
		"as drawn":   func(*Config) {},
		"a push":     func(c *Config) { c.Spin.Pushes[0].Peak *= 1.1 },
		"the time":   func(c *Config) { c.Spin.Seconds /= 2 },
		"pole pairs": func(c *Config) { c.Motor.PolePairs++ },
	} {
		c := Random(Ordinary, 1)
		change(&c)
		fresh := Config{Motor: c.Motor, Spin: c.Spin, FrontEnd: c.FrontEnd, Seed: c.Seed}
		got, _ := c.Record()
		want, _ := fresh.Record()
		same := func(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) } // what is missing is NaN
		if !slices.EqualFunc(got.Columns[0].Value, want.Columns[0].Value, same) || !slices.Equal(got.Hall, want.Hall) {
			t.Errorf("%s: another recording than that of the same motor and spin", name)
		}
	}
}

// Every kind keeps the promises of its description.
func TestRandomKeepsItsPromises(t *testing.T) {
	for k := range Kinds {
		for seed := range uint64(3) {
			c := Random(k, seed)
			if err := c.Check(); err != nil {
				t.Fatalf("%s %d: %v", k, seed, err)
			}
			r, truth := c.Record()
			turns := truth.TurnsForward + truth.TurnsBackward
			// What a slow rotor turns between the last row and the end is not in it.
			if k == Short && (turns < 1.99 || turns > 3) || k != Short && turns < 20 {
				t.Errorf("%s %d: %g turns", k, seed, turns)
			}
			if back := truth.TurnsBackward / turns; k == Reversing && back < 0.05 || k != Reversing && back > 0.1 {
				t.Errorf("%s %d: %g of the turning backward", k, seed, back)
			}
			swing := 0.0
			for _, i := range samples(r) {
				if k != Lowest && k != HalfWaves {
					swing = max(swing, math.Abs(r.Columns[0].Value[i]-c.FrontEnd.OffsetCounts[0]))
				}
			}
			if k == Ordinary && (swing < 40 || swing > 600) {
				t.Errorf("%s %d: swings by %g counts", k, seed, swing)
			}
			if (len(samples(r)) == r.Rows()) != (k == SampledHalls) {
				t.Errorf("%s %d: %d samples in %d rows", k, seed, len(samples(r)), r.Rows())
			}
		}
	}
}

// Of 40 fair throws all alike come once in 10^11.
func TestRandomTurnsEitherWay(t *testing.T) {
	for k := range Kinds {
		backward := 0
		for seed := range uint64(40) {
			s := draw{Config{Seed: seed}.stream(1)}.spin(k)
			if s.StartHz < 0 || len(s.Pushes) > 0 && s.Pushes[0].Peak < 0 {
				backward++
			}
		}
		if backward == 0 || backward == 40 {
			t.Errorf("%s: %d of 40 turn backward", k, backward)
		}
	}
}

// A faint recording has 5 counts of back-EMF at the mean speed while turning.
func TestFaintIsFaint(t *testing.T) {
	for seed := range uint64(5) {
		c := Random(Faint, seed)
		sum, n := 0.0, 0.0
		m := c.Spin.run(c.Motor.PolePairs)
		for i := range 6000 {
			_, w := m.electrical(float64(i) * 1e-3)
			if hz := math.Abs(w) / (2 * math.Pi); hz > 1 {
				sum += math.Abs(w) * c.Motor.Flux / c.FrontEnd.VoltsPerCount
				n++
			}
		}
		// The mean over every tenth point of the motion instead of all.
		near(t, "mean amplitude", sum/n, 5, 0.01)
	}
}

// Twelve alignments with six-step timing: six angles in two orders; random
// motors have them all.
func TestRandomReachesAllAlignments(t *testing.T) {
	seen := map[[2]int]int{}
	for seed := range uint64(300) {
		m := draw{Config{Seed: seed}.stream(1)}.motor()
		first := m.Sensors[0].RiseDeg - 120*float64(m.PhaseOrder[0])
		step := math.Remainder(m.Sensors[1].RiseDeg-m.Sensors[0].RiseDeg, 360)
		seen[[2]int{int(math.Round((turn(first) - 30) / 60)), int(math.Copysign(1, step))}]++
	}
	alignments := 0
	for key := range seen {
		if key[0] >= 0 && key[0] <= 5 {
			alignments++
		}
	}
	if alignments != 12 {
		t.Errorf("%d of 12 alignments: %v", alignments, seen)
	}
}
