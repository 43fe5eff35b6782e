package spin

import (
	"math"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/emf"
	"handspin/commutation/spin/spintest"
)

// seeds is how many random motors of each kind the accuracy tests try.
const seeds = 25

// targets are the largest errors in degrees, of any sensor edge or phase angle
// of any motor, that the estimate is to keep on each kind of recording: 0.5 on
// ordinary ones, 1 when turning back and forth, 1.5 with Hall levels at 1.5 kHz
// samples only, 2 with clipped columns of whatever sort, 4 at 5 counts of
// back-EMF in noise of 2. Unequal phases and a drill are held to the ordinary
// target plus what a percent of unequal column gains turns the phases by, 0.5.
// Recordings of two or three turns see only some of the magnets, whose borders
// lie up to 1 degree (standard deviation) off in the synthetic motors: 3 of
// those, and 1 for the ordinary error where two edges are all there is.
var targets = map[synth.Kind]float64{
	synth.Ordinary:     0.5,
	synth.Reversing:    1,
	synth.SampledHalls: 1.5,
	synth.Clipped:      2,
	synth.HalfWaves:    2,
	synth.Lowest:       2,
	synth.Starless:     1,
	synth.Faint:        4,
	synth.Short:        4,
	synth.Fast:         1,
}

// The effective value of a kind's errors in stated deviations may be 1 at most, and a
// quarter for its scatter: the errors of one motor hang together, so that of 25 motors it is
// known to 1/sqrt(2*25), a seventh. What a fit cannot know, such as that magnets cancel over
// whole turns, makes it less, but not ten times.
const (
	mostDeviations  = 1.25
	leastDeviations = 0.1
)

func TestAccuracy(t *testing.T) {
	if len(targets) != int(synth.Kinds) {
		t.Fatalf("%d kinds have a target, want all %d", len(targets), synth.Kinds)
	}
	for kind, limit := range targets {
		t.Run(kind.String(), func(t *testing.T) {
			t.Parallel()
			var edges, phases []float64
			for seed := uint64(1); seed <= seeds; seed++ {
				rec, truth := synth.Random(kind, seed).Record()
				r := Analyse(rec, Options{})
				e, p := inDeviations(r, truth)
				edges, phases = append(edges, e...), append(phases, p...)
				edge, phase := worstErrors(r, truth)
				if !(edge <= limit && phase <= limit) { // NaN fails
					t.Errorf("seed %d: edges off by up to %.2f, phases by %.2f degrees, want %g at most\n%v", seed, edge, phase, limit, r.Findings)
				}
			}
			for what, z := range map[string][]float64{"edges": edges, "phases": phases} {
				if x := rms(z); !(x > leastDeviations && x < mostDeviations) {
					t.Errorf("errors of %s are %.2f times the stated deviations, want about 1", what, x)
				}
			}
		})
	}
}

// In this spin the lead on the reference, read as a lead of its own, is followed
// almost as well by a rotor that may jump with every cog.
func TestRightReadingBeforeCogging(t *testing.T) {
	rec, truth := synth.Random(synth.Lowest, 5035).Record()
	edge, phase := worstErrors(Analyse(rec, Options{}), truth)
	if limit := targets[synth.Lowest]; !(edge <= limit && phase <= limit) {
		t.Errorf("edges off by up to %.2f, phases by %.2f degrees, want %g at most", edge, phase, limit)
	}
}

// worstErrors returns the largest errors of the sensors' edges and the phases'
// angles in degrees; NaN where one is missing.
func worstErrors(r *Result, truth synth.Truth) (edge, phase float64) {
	eachError(r, truth, func(isEdge bool, e, _ float64) {
		if isEdge {
			edge = math.Max(edge, math.Abs(e))
		} else {
			phase = math.Max(phase, math.Abs(e))
		}
	})
	return edge, phase
}

// inDeviations returns all of them in stated standard deviations.
func inDeviations(r *Result, truth synth.Truth) (edges, phases []float64) {
	eachError(r, truth, func(isEdge bool, e, sd float64) {
		if isEdge {
			edges = append(edges, e/sd)
		} else {
			phases = append(phases, e/sd)
		}
	})
	return edges, phases
}

// eachError visits the errors of the edges and of p2's and p3's angles, in degrees, with
// what is stated of them.
func eachError(r *Result, truth synth.Truth, visit func(isEdge bool, e, sd float64)) {
	var oneWay [3]bool
	for i, s := range r.Sensors {
		oneWay[i] = math.IsNaN(s.HysteresisDeg.Value)
	}
	want := spintest.Shown(truth, oneWay)
	tell := func(isEdge bool, got Value, want float64) {
		visit(isEdge, commutation.Signed(got.Value-want), got.SD)
	}
	for i, s := range r.Sensors {
		tell(true, r.Edge(s.RiseDeg), want.Rise[i])
		tell(true, r.Edge(s.FallDeg), want.Fall[i])
		if i > 0 {
			tell(false, r.Phases[i].AngleDeg, want.Phase[i])
		}
	}
}

// The hysteresis is half the difference between the directions. 0.5 degrees is
// the accuracy of an edge.
func TestHysteresis(t *testing.T) {
	for seed := uint64(1); seed <= 5; seed++ {
		rec, truth := synth.Random(synth.Reversing, seed).Record()
		for i, s := range Analyse(rec, Options{}).Sensors {
			if d := s.HysteresisDeg.Value - truth.Sensors[i].HysteresisDeg; !(math.Abs(d) < 0.5) {
				t.Errorf("seed %d: h%d has a hysteresis of %.2f degrees, want %.2f", seed, i+1, s.HysteresisDeg.Value, truth.Sensors[i].HysteresisDeg)
			}
		}
	}
}

// Turns are counted to a hundredth of the whole: they come from the same angle.
func TestTurns(t *testing.T) {
	for seed := uint64(1); seed <= 5; seed++ {
		rec, truth := synth.Random(synth.Reversing, seed).Record()
		r := Analyse(rec, Options{})
		total := truth.TurnsForward + truth.TurnsBackward
		if math.Abs(r.TurnsForward-truth.TurnsForward) > 0.01*total || math.Abs(r.TurnsBackward-truth.TurnsBackward) > 0.01*total {
			t.Errorf("seed %d: %.2f turns forward and %.2f backward, want %.2f and %.2f", seed,
				r.TurnsForward, r.TurnsBackward, truth.TurnsForward, truth.TurnsBackward)
		}
	}
}

// Flux linkage: the columns' gains are off by up to 1 % in the synthetic boards.
func TestFluxLinkage(t *testing.T) {
	for seed := uint64(1); seed <= 5; seed++ {
		c := synth.Random(synth.Ordinary, seed)
		c.FrontEnd.Reference = synth.Neutral
		rec, truth := c.Record()
		if f := Analyse(rec, Options{}).FluxLinkage; !(math.Abs(f.Value/truth.FluxVS-1) < 0.015) {
			t.Errorf("seed %d: flux linkage %.4g V s, want %.4g", seed, f.Value, truth.FluxVS)
		}
	}
}

// deviations returns the phase angles' errors in stated standard deviations.
// Column gains are exact here, since no fit can see them.
func deviations(kind synth.Kind, poleStrength float64) []float64 {
	var z []float64
	for seed := uint64(1); seed <= 30; seed++ {
		c := synth.Random(kind, seed)
		c.FrontEnd.GainError = [3]float64{}
		c.Motor.PoleStrength = poleStrength
		rec, truth := c.Record()
		r := Analyse(rec, Options{})
		truth = truth.From(truth.Seen[0].AngleDeg)
		for i := 1; i < 3; i++ {
			e := commutation.Signed(r.Phases[i].AngleDeg.Value - truth.Seen[i].AngleDeg)
			z = append(z, e/r.Phases[i].AngleDeg.SD)
		}
	}
	return z
}

// The stated standard deviations of the phase angles are honest. Where noise is
// all there is, the 60 errors in stated deviations have an effective value near
// 1; half and twice leave room for their scatter of a tenth and for deviations
// that are themselves estimates. Unequal magnets cancel over whole shaft turns,
// which a fit cannot know: the stated deviation then is an upper bound.
func TestStatedDeviation(t *testing.T) {
	if x := rms(deviations(synth.Faint, 0)); !(x > 0.5 && x < 2) {
		t.Errorf("noise: errors are %.2f times the stated deviation, want about 1", x)
	}
	if x := rms(deviations(synth.Ordinary, 0)); !(x > 0.5 && x < 2) {
		t.Errorf("quiet: errors are %.2f times the stated deviation, want about 1", x)
	}
	if x := rms(deviations(synth.Ordinary, 0.03)); !(x < 1.5) {
		t.Errorf("magnets: errors are %.2f times the stated deviation, want 1 at most", x)
	}
	if x := rms(deviations(synth.Short, 0.03)); !(x < 1.5) {
		t.Errorf("magnets and few turns: errors are %.2f times the stated deviation, want 1 at most", x)
	}
}

// All sensors late by the same angle: the shift is found and no single sensor is
// blamed. The synthetic motor's own three errors shift the grid by their mean,
// and 0.5 degrees is the accuracy of an edge.
func TestCommonShift(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		c := synth.Random(synth.Reversing, seed)
		late := float64(4*seed) - 14
		c.Motor.Sensors = synth.Placed(120, 30+60*float64(seed)+late, [3]int{0, 2, 1}, [3]float64{})
		c.Motor.PoleShift = 0
		rec, truth := c.Record()
		if truth.Mirrored {
			late = -late
		}
		r := Analyse(rec, Options{})
		if !(math.Abs(r.ShiftDeg-late) < 0.5) {
			t.Errorf("seed %d: shift %.2f degrees, want %.0f", seed, r.ShiftDeg, late)
		}
		for i, s := range r.Sensors {
			if !(math.Abs(s.ErrorDeg) < 0.5) {
				t.Errorf("seed %d: h%d is off by %.2f degrees, want 0", seed, i+1, s.ErrorDeg)
			}
		}
	}
}

// Samples far closer together than a turn needs are reduced, and the answer keeps
// the accuracy of its kind: rails, references that move and Hall edges are seen as
// ever.
func TestOversampled(t *testing.T) {
	for _, kind := range []synth.Kind{synth.Ordinary, synth.Reversing, synth.Clipped, synth.HalfWaves, synth.Lowest} {
		t.Run(kind.String(), func(t *testing.T) {
			c := synth.Random(kind, 1)
			c.FrontEnd.RateHz = 200_000
			rec, truth := c.Record()
			if len(emf.Columns(rec).Time) > rec.Rows()/2 {
				t.Fatalf("%d rows are not reduced", rec.Rows())
			}
			edge, phase := worstErrors(Analyse(rec, Options{}), truth)
			if limit := targets[kind]; !(edge <= limit && phase <= limit) {
				t.Errorf("edges off by up to %.2f, phases by %.2f degrees, want %g at most", edge, phase, limit)
			}
		})
	}
}
