package spin

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"testing"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// answer is the whole way from a configuration to a verdict.
func answer(c synth.Config, table commutation.DriveTable) (commutation.Verdict, commutation.Ranking, *Result, synth.Truth) {
	rec, truth := c.Record()
	verdict, ranking, r := judged(rec, table)
	return verdict, ranking, r, truth
}

// judged is the whole way from a recording to a verdict.
func judged(rec *capture.Recording, table commutation.DriveTable) (commutation.Verdict, commutation.Ranking, *Result) {
	r := Analyse(rec, Options{})
	var ranking commutation.Ranking
	if r.Usable {
		ranking = commutation.Rank(r.Motor, r.Draws, table)
	}
	verdict, _ := commutation.Decide(ranking, r.Usable, r.Reliability, r.Findings)
	return verdict, ranking, r
}

// tables120 are the twelve drive tables that an ideal 120-degree motor can need:
// six alignments in both senses. They are the typical table with its states
// moved round by 0 to 5 sectors, forward and with high and low exchanged order
// of the Hall inputs. Facts of the trade, common practice.
func tables120(t *testing.T) []commutation.DriveTable {
	t.Helper()
	ring := []string{"101", "100", "110", "010", "011", "001"}
	drives := []string{"U,V", "U,W", "V,W", "V,U", "W,U", "W,V"}
	var out []commutation.DriveTable
	for _, sense := range []int{1, 5} {
		for shift := range 6 {
			text := "state,high,low\n"
			for i := range ring {
				text += ring[i] + "," + drives[(i*sense+shift)%6] + "\n"
			}
			table, err := commutation.ParseTable("table", []byte(text))
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, table)
		}
	}
	return out
}

// On sound motors of every kind of recording, with every 120-degree table, the
// list is ranked and names exactly the clean wirings that the true motor has.
func TestRankedListIsRight(t *testing.T) {
	tables := tables120(t)
	for kind := range synth.Kinds {
		t.Run(kind.String(), func(t *testing.T) {
			t.Parallel()
			for seed := uint64(100); seed < 112; seed++ {
				table := tables[seed%12]
				verdict, ranking, r, truth := answer(synth.Random(kind, seed), table)
				if verdict != commutation.Ranked {
					t.Errorf("seed %d: verdict %s, want ranked\n%v", seed, verdict, r.Findings)
				}
				want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, table))
				if got := spintest.Clean(ranking); !maps.Equal(got, want) {
					t.Errorf("seed %d: clean wirings %v, want %v", seed, got, want)
				}
			}
		})
	}
}

// A 60-degree set on the published 60-degree table is ranked, its one clean
// wiring each way.
func TestSixtyDegreeSet(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		c := synth.Random(synth.Ordinary, seed)
		order := [3]int(rand.New(rand.NewPCG(seed, 1)).Perm(3))
		c.Motor.Sensors = synth.Placed(60, 30+60*float64(seed), order, [3]float64{2, -3, 1})
		verdict, ranking, r, truth := answer(c, commutation.Typical60())
		want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical60()))
		if got := spintest.Clean(ranking); verdict != commutation.Ranked || len(want) != 2 || !maps.Equal(got, want) {
			t.Errorf("seed %d: %s %v, want ranked %v\n%v", seed, verdict, got, want, r.Findings)
		}
		if r.SpacingDeg != 60 {
			t.Errorf("seed %d: spacing %v degrees, want 60", seed, r.SpacingDeg)
		}
	}
}

// fault is something done to a sound recording and what the answer must be.
type fault struct {
	name    string
	kind    synth.Kind
	do      func(c *synth.Config)
	verdict commutation.Verdict
	code    string
	lead    string // of the finding
	list    bool   // the list must be that of the same motor without the fault
}

// sensor and phase build faults of one lead.
func sensor(i int, do func(s *synth.Sensor)) func(c *synth.Config) {
	return func(c *synth.Config) { do(&c.Motor.Sensors[i]) }
}

var faults = []fault{
	{"stuck low", synth.Ordinary, sensor(0, func(s *synth.Sensor) { s.Stuck = synth.StuckLow }), commutation.RepairFirst, "sensor-stuck-low", "h1", true},
	{"stuck high", synth.Reversing, sensor(1, func(s *synth.Sensor) { s.Stuck = synth.StuckHigh }), commutation.RepairFirst, "sensor-stuck-high", "h2", true},
	{"bounces", synth.Ordinary, sensor(2, func(s *synth.Sensor) { s.Bounces, s.BounceUS = 2, 300 }), commutation.Ranked, "sensor-noisy", "h3", true},
	{"misses some pulses", synth.Ordinary, sensor(1, func(s *synth.Sensor) { s.DropRate = 0.2 }), commutation.Ranked, "sensor-intermittent", "h2", true},
	{"misses most pulses", synth.Ordinary, sensor(1, func(s *synth.Sensor) { s.DropRate = 0.8 }), commutation.RepairFirst, "sensor-intermittent", "h2", true},
	{"misplaced", synth.Ordinary, sensor(0, func(s *synth.Sensor) { s.RiseDeg += 25 }), commutation.Ranked, "sensor-misplaced", "h1", false},
	{"inverted", synth.Ordinary, sensor(0, func(s *synth.Sensor) { s.Inverted = true }), commutation.RepairFirst, "sensor-spacing", "h1", false},
	{"two in phase", synth.Ordinary, func(c *synth.Config) { c.Motor.Sensors[0] = c.Motor.Sensors[1] }, commutation.RepairFirst, "sensor-spacing", "", false},
	{"open, star point known", synth.Ordinary, func(c *synth.Config) { c.Motor.Open[1], c.FrontEnd.Reference = true, synth.Neutral }, commutation.RepairFirst, "phase-open", "p2", false},
	{"open, floating", synth.Ordinary, func(c *synth.Config) { c.Motor.Open[2], c.FrontEnd.Reference = true, synth.VirtualStar }, commutation.RepairFirst, "phase-open", "p3", false},
	{"open, half waves", synth.HalfWaves, func(c *synth.Config) { c.Motor.Open[0] = true }, commutation.RepairFirst, "phase-open", "p1", false},
	{"reversed, star point known", synth.Ordinary, func(c *synth.Config) {
		c.Motor.Gain[0], c.Motor.Harmonics[3], c.FrontEnd.Reference = -1, 0, synth.Neutral
	}, commutation.RepairFirst, "phase-spacing", "p1", false},
	{"reversed, floating", synth.Reversing, func(c *synth.Config) { c.Motor.Gain[1], c.FrontEnd.Reference = -1, synth.VirtualStar }, commutation.RepairFirst, "phase-spacing", "", false},
	{"reversed, lowest lead", synth.Lowest, func(c *synth.Config) { c.Motor.Gain[2] = -1 }, commutation.RepairFirst, "phase-spacing", "", false},
	{"weak phase", synth.Ordinary, func(c *synth.Config) { c.Motor.Gain[1], c.FrontEnd.Reference = 0.6, synth.Neutral }, commutation.Ranked, "phase-weak", "p2", false},
	{"unequal phases", synth.Ordinary, func(c *synth.Config) { c.Motor.Gain[1], c.FrontEnd.Reference = 0.8, synth.VirtualStar }, commutation.Ranked, "phase-unbalance", "", false},
	{"tenth of scale", synth.Ordinary, func(c *synth.Config) { c.FrontEnd.GainError[2] = -0.9 }, commutation.Ranked, "phase-scale", "p3", true},
	{"missing stretch", synth.Ordinary, func(c *synth.Config) { c.FrontEnd.MissingFrom, c.FrontEnd.MissingTo = 2, 2.5 }, commutation.Ranked, "clock", "", true},
	{"reference is p1", synth.Ordinary, func(c *synth.Config) { c.FrontEnd.Reference = synth.FirstLead }, commutation.Ranked, "phase-reference", "p1", true},
	{"clipped", synth.Clipped, func(c *synth.Config) {}, commutation.Ranked, "phase-clipped", "", true},
	{"hum", synth.Ordinary, func(c *synth.Config) { c.FrontEnd.Hum, c.FrontEnd.HumHz = 60, 50 }, commutation.Ranked, "", "", true},
	{"sparks", synth.Ordinary, sparks, commutation.Ranked, "phase-spikes", "", true},
	{"sparks, half waves", synth.HalfWaves, sparks, commutation.Ranked, "phase-spikes", "", true},
	{"sparks, lowest lead", synth.Lowest, sparks, commutation.Ranked, "phase-spikes", "", true},
	{"coupled through capacitors", synth.Ordinary, func(c *synth.Config) { c.FrontEnd.HighPass = 0.016 }, commutation.MoreData, "", "", false}, // filtered, or no back-EMF at all
	{"capacitors across the inputs", synth.Ordinary, func(c *synth.Config) { c.FrontEnd.LowPass = 0.005 }, commutation.MoreData, "phase-filtered", "", false},
	{"small capacitors", synth.Ordinary, func(c *synth.Config) { c.FrontEnd.LowPass = 0.001 }, commutation.Ranked, "phase-filtered", "", true},
	{"rocked", synth.Ordinary, rocked, commutation.MoreData, "too-little-rotation", "", false},
	{"not turned", synth.Ordinary, func(c *synth.Config) { c.Spin = synth.Spin{Seconds: 2} }, commutation.MoreData, "phase-weak", "", false},
	{"no back-EMF", synth.Ordinary, func(c *synth.Config) { c.Motor.Flux = 0 }, commutation.MoreData, "phase-weak", "", false},
}

// sparks puts one sample in a hundred off, by up to several times the back-EMF.
func sparks(c *synth.Config) { c.FrontEnd.Spikes, c.FrontEnd.SpikeCounts = 32, 1500 }

// Columns of something else than this rotor, with perfect sensors: the columns
// are blamed, and no sensor.
func TestForeignColumns(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		rec, _ := synth.Random(synth.Ordinary, seed).Record()
		other, _ := synth.Random(synth.Ordinary, seed+100).Record()
		var samples []int
		for i, e := range other.Edge {
			if !e {
				samples = append(samples, i)
			}
		}
		next := 0
		for i, e := range rec.Edge {
			if e {
				continue
			}
			for k := range rec.Columns {
				rec.Columns[k].Value[i] = other.Columns[k].Value[samples[next]]
			}
			next = min(next+1, len(samples)-1)
		}
		r := Analyse(rec, Options{})
		verdict, _ := commutation.Decide(commutation.Ranking{}, r.Usable, r.Reliability, r.Findings)
		if verdict != commutation.MoreData || r.Usable || !hasFinding(r, "phase-irregular", "") {
			t.Errorf("seed %d: verdict %s, usable %v, %v", seed, verdict, r.Usable, r.Findings)
		}
		if r.SpacingDeg != 120 {
			t.Errorf("seed %d: the sensors' spacing is %v, want 120 from themselves", seed, r.SpacingDeg)
		}
	}
}

// rocked turns the rotor to and fro by less than a turn.
func rocked(c *synth.Config) {
	c.Spin = synth.BackAndForth(4, 8, 2)
	for i := range c.Spin.Pushes {
		c.Spin.Pushes[i].Peak *= 0.3
	}
	c.Motor.Flux *= 5
}

func TestFaults(t *testing.T) {
	for _, f := range faults {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			for seed := uint64(200); seed < 204; seed++ {
				c := synth.Random(f.kind, seed)
				_, sound := c.Record()
				f.do(&c)
				verdict, ranking, r, truth := answer(c, commutation.Typical())
				if verdict != f.verdict {
					t.Errorf("seed %d: verdict %s, want %s\n%v", seed, verdict, f.verdict, r.Findings)
				}
				if f.code != "" && !hasFinding(r, f.code, f.lead) {
					t.Errorf("seed %d: no finding %s %s in\n%v", seed, f.code, f.lead, r.Findings)
				}
				if !f.list {
					sound = truth
				}
				if f.list || verdict == commutation.Ranked {
					want := spintest.Clean(commutation.Rank(spintest.Motor(sound), nil, commutation.Typical()))
					if got := spintest.Clean(ranking); !maps.Equal(got, want) {
						t.Errorf("seed %d: clean wirings %v, want %v", seed, got, want)
					}
				}
			}
		})
	}
}

// Without phase columns the sensors still give order, spacing and turning, and
// the verdict is more-data.
func TestHallsOnly(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		c := synth.Random(synth.Ordinary, seed)
		rec, truth := c.Record()
		rec.Columns = nil
		r := Analyse(rec, Options{})
		verdict, _ := commutation.Decide(commutation.Ranking{}, r.Usable, r.Reliability, r.Findings)
		if verdict != commutation.MoreData || !hasFinding(r, "no-phases", "") {
			t.Errorf("seed %d: verdict %s, findings %v", seed, verdict, r.Findings)
		}
		if r.SpacingDeg != 120 {
			t.Errorf("seed %d: spacing %v, want 120", seed, r.SpacingDeg)
		}
		zero := truth.Sensors[0].RiseDeg
		for i, s := range r.Sensors {
			// Only the smoothness of the spin tells unequal sectors from
			// uneven speed, so 5 degrees are allowed.
			if d := commutation.Signed(s.RiseDeg.Value - (truth.Sensors[i].RiseDeg - zero)); !(d > -5 && d < 5) {
				t.Errorf("seed %d: h%d rises %.1f degrees off", seed, i+1, d)
			}
		}
		if got, want := r.TurnsForward, truth.TurnsForward; got < 0.97*want-1 || got > 1.03*want+1 {
			t.Errorf("seed %d: %.1f turns, want %.1f", seed, got, want)
		}
	}
}

func ExampleAnalyse() {
	rec, _ := synth.Random(synth.Ordinary, 1).Record()
	r := Analyse(rec, Options{})
	fmt.Printf("sensors %.0f degrees apart, %d phases in order\n", r.SpacingDeg, len(r.PhaseOrder))
	// Output: sensors 120 degrees apart, 3 phases in order
}

// A rotor at rest whose columns pick up the mains, each with a phase of its own,
// looks like one that turns at 50 Hz with three dead sensors.
func TestMainsPickUp(t *testing.T) {
	c := synth.Random(synth.Ordinary, 3)
	c.Spin = synth.Spin{Seconds: 4}
	rec, _ := c.Record()
	rec.Edge = make([]bool, rec.Rows())
	for k := range rec.Columns {
		for i, x := range rec.Time {
			rec.Columns[k].Value[i] = math.Round(500 + 80*math.Sin(2*math.Pi*50*x+2.2*float64(k)))
		}
	}
	r := Analyse(rec, Options{})
	verdict, _ := commutation.Decide(commutation.Ranking{}, r.Usable, r.Reliability, r.Findings)
	if verdict != commutation.MoreData || !hasFinding(r, "phase-irregular", "") {
		t.Errorf("verdict %s with %v, want more-data", verdict, r.Findings)
	}
}

// A rotor turned faster than the columns can follow looks like one at rest or a
// slow one; the stamped edges tell.
func TestTooFast(t *testing.T) {
	for _, hz := range []float64{900, 1100, 1600} {
		c := synth.Random(synth.Fast, 3)
		c.Spin = synth.Drilled(2, hz)
		rec, _ := c.Record()
		r := Analyse(rec, Options{})
		verdict, _ := commutation.Decide(commutation.Ranking{}, r.Usable, r.Reliability, r.Findings)
		if verdict != commutation.MoreData || !hasFinding(r, "too-fast", "") {
			t.Errorf("%.0f Hz: verdict %s with %v, want more-data", hz, verdict, r.Findings)
		}
	}
}

// A lead used as the ground reads exactly nothing: it is the reference, not dead.
func TestGroundLeadReadsExactlyZero(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		c := synth.Random(synth.Ordinary, seed)
		c.FrontEnd.Reference = synth.FirstLead
		rec, truth := c.Record()
		for i, e := range rec.Edge {
			if !e {
				rec.Columns[0].Value[i] = 0
			}
		}
		r := Analyse(rec, Options{})
		if !r.Usable || !hasFinding(r, "phase-reference", "p1") {
			t.Errorf("seed %d: usable %v, %v", seed, r.Usable, r.Findings)
			continue
		}
		want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical()))
		if got := spintest.Clean(commutation.Rank(r.Motor, r.Draws, commutation.Typical())); !maps.Equal(got, want) {
			t.Errorf("seed %d: clean wirings %v, want %v", seed, got, want)
		}
	}
}

// A lead used as the ground is no open one, though another phase is at fault as well:
// with phase k at the share g of the others, the line voltages to the ground lead are
// from 30 to 120 degrees apart (sums of phasors; 49 for p2 at one half, 82 for p1). An
// open lead leaves the others 120 apart, and is named.
func TestGroundLeadBesideAFault(t *testing.T) {
	for _, c := range []struct {
		gain      [3]float64
		open      bool
		reference synth.Reference
	}{
		{[3]float64{1, 0.5, 1}, false, synth.FirstLead},
		{[3]float64{1, 1, 0.3}, false, synth.FirstLead},
		{[3]float64{0.5, 1, 1}, false, synth.FirstLead},
		{[3]float64{1, 0.6, 1}, true, synth.Neutral},
		{[3]float64{1, 1, 1}, true, synth.Neutral},
	} {
		for seed := uint64(1); seed <= 3; seed++ {
			x := synth.Random(synth.Ordinary, seed)
			x.FrontEnd.Reference, x.Motor.Gain, x.Motor.Open[0] = c.reference, c.gain, c.open
			rec, _ := x.Record()
			r := Analyse(rec, Options{})
			if hasFinding(r, "phase-open", "p1") != c.open || hasFinding(r, "phase-reference", "p1") == c.open {
				t.Errorf("gain %v, open %v: %v", c.gain, c.open, r.Findings)
			}
		}
	}
}

// TestReversedIsNamed: with the phase of lead k reversed, the mean of three balanced
// leads is 2/3 of it, so that it reads 1/3 and the others sqrt(7)/3 (the cosine rule):
// it is the weak one, and the hint is to look at it.
func TestReversedIsNamed(t *testing.T) {
	for _, reference := range []synth.Reference{synth.Neutral, synth.VirtualStar, synth.Differences} {
		for k := range 3 {
			c := synth.Random(synth.Ordinary, 7)
			c.FrontEnd.Reference, c.Motor.Gain[k] = reference, -1
			rec, _ := c.Record()
			weak := ""
			for _, f := range Analyse(rec, Options{}).Findings {
				if f.Code == "phase-weak" && f.Hint == "look at this phase first" {
					weak += f.Lead
				}
			}
			if weak != leadName("p", k) {
				t.Errorf("%v, p%d reversed: the weak lead is %q", reference, k+1, weak)
			}
		}
	}
}

// TestShortTurnAccusesNothing: a sound motor turned by a part of a turn has phases that
// made little voltage in it, and sensors that did not change; that is too little rotation,
// and no fault. The fit may stretch such a part to more than a turn.
func TestShortTurnAccusesNothing(t *testing.T) {
	for _, kind := range []synth.Kind{synth.Ordinary, synth.HalfWaves, synth.Lowest} {
		for seed := uint64(1); seed <= 25; seed++ {
			c := synth.Random(kind, seed)
			c.Spin = synth.FewTurns([]float64{0.3, 0.6}[seed%2])
			rec, truth := c.Record()
			if truth.TurnsForward > 0.8 {
				t.Fatalf("%v, seed %d: %g turns", kind, seed, truth.TurnsForward)
			}
			r := Analyse(rec, Options{})
			for _, f := range r.Findings {
				if f.Severity == commutation.Repair || f.Code == "phase-weak" && f.Severity == commutation.Note || f.Code == "phase-unbalance" {
					t.Errorf("%v, seed %d: %s %s, from %.1f turns", kind, seed, f.Severity, f.Text, r.TurnsForward+r.TurnsBackward)
				}
			}
		}
	}
}
