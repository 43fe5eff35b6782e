package proof

import (
	"maps"
	"math"
	"slices"
	"strings"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin"
	"handspin/commutation/spin/spintest"
)

// Outcome is what became of a case. It is a row of the program's file.
type Outcome struct {
	Seed         uint64
	Kind, Faults string // faults joined by +
	Table        string
	Expect       Expect
	Verdict      commutation.Verdict
	// Confidence is that of the verdict: that the set of clean wirings is right.
	Confidence float64
	// Listed says that there was a list to be confident of: of a motor as it
	// is, not as it would be after a repair.
	Listed bool
	// Wrong counts the wirings among the first three that are named clean and
	// are not, in that direction. Short is by how much the worst of them misses
	// what makes a wiring clean, relative to the torque of perfect timing.
	Wrong int
	Short float64
	// Exact says that exactly the true clean wirings are named clean.
	Exact bool
	// Turns is how many electrical turns the rotor made, both ways, and SNR the
	// back-EMF's effective value at its speed while turning over the noise.
	Turns, SNR float64
	// EdgeDeg and PhaseDeg are the largest errors of the sensors' edges and the
	// phases' angles in electrical degrees; EdgeZ and PhaseZ the effective
	// values of the errors in stated standard deviations. NaN where there is
	// none.
	EdgeDeg, PhaseDeg, EdgeZ, PhaseZ float64
	// Reasons are the codes of the findings that are severe enough to keep a
	// list from being ranked, and no-clean where there is none to rank.
	Reasons []string
}

// Run records the case, analyses it and holds the answer against the truth.
func (c Case) Run() Outcome {
	rec, truth := c.Config.Record()
	return c.judge(rec, truth)
}

func (c Case) judge(rec *capture.Recording, truth synth.Truth) Outcome {
	r := spin.Analyse(rec, spin.Options{})
	var list commutation.Ranking
	if r.Usable {
		list = commutation.Rank(r.Motor, r.Draws, c.Table)
	}
	o := Outcome{
		Seed: c.Seed, Kind: c.Kind.String(), Faults: strings.Join(c.Faults, "+"), Table: c.Table.Name,
		Turns: truth.TurnsForward + truth.TurnsBackward,
		SNR:   c.snr(rec, truth),
	}
	o.Verdict, o.Confidence = commutation.Decide(list, r.Usable, r.Reliability, r.Findings)
	o.Listed = r.Usable && r.Assumed == "" && len(list.Wirings) > 0
	motor := spintest.Motor(truth)
	o.Expect = max(c.Least, expected(motor, c.Table, c.Seed))
	o.Expect = max(o.Expect, told(truth))
	o.compare(list, commutation.Rank(motor, nil, c.Table))
	edges, phases := deviations(r, truth)
	o.EdgeDeg, o.EdgeZ = edges.worst(), edges.rms()
	o.PhaseDeg, o.PhaseZ = phases.worst(), phases.rms()
	o.Reasons = reasons(list, r)
	return o
}

// The length of a recording, in electrical turns, from which a sound one is to
// be ranked, and below which nothing is told; and how much of the turning may
// have been done backward for the other direction still to be forward.
const (
	leastTurns = 3
	nothing    = 0.25
	mostBack   = 0.9
)

// told is what the turning lets one expect.
func told(t synth.Truth) Expect {
	switch turns := t.TurnsForward + t.TurnsBackward; {
	case turns < nothing:
		return Must
	case turns < leastTurns, t.TurnsBackward > mostBack*t.TurnsForward:
		return May
	}
	return Sound
}

// compare holds a list against that of the true motor.
func (o *Outcome) compare(list, truth commutation.Ranking) {
	o.Exact = maps.Equal(spintest.Clean(list), spintest.Clean(truth))
	so := map[commutation.Wiring]commutation.Judged{}
	for _, j := range truth.Wirings {
		so[j.Wiring] = j
	}
	clean := list.Clean()
	for _, j := range clean[:min(3, len(clean))] {
		if t := so[j.Wiring]; t.Behaviour != j.Behaviour {
			o.Wrong++
			o.Short = max(o.Short, short(j, t))
		}
	}
}

// short returns by how much the true wiring t misses being clean in the
// direction that j says: of the two conditions of a clean wiring the one that
// is missed by more.
func short(j, t commutation.Judged) float64 {
	const mean, least = 0.85, 0.2 // of a clean wiring, see the design
	sense := math.Copysign(1, j.Torque)
	return max(mean-sense*t.Torque, least-t.TorqueMin)
}

// snr returns the effective back-EMF of a lead at the rotor's effective speed,
// over the noise of the column and of its rounding (a uniform error of one
// count, variance 1/12).
func (c Case) snr(rec *capture.Recording, truth synth.Truth) float64 {
	const points = 500
	sum := 0.0
	for k := range points {
		w := 2 * math.Pi * truth.SpeedAt(rec.Seconds()*float64(k)/points)
		sum += w * w / points
	}
	counts := math.Abs(c.Config.Motor.Flux) * math.Sqrt(sum/2) / c.Config.FrontEnd.VoltsPerCount
	return counts / math.Hypot(c.Config.FrontEnd.NoiseCounts, 1/math.Sqrt(12))
}

// reasons lists why a list is not ranked, each once, in alphabetical order.
func reasons(list commutation.Ranking, r *spin.Result) []string {
	var out []string
	for _, f := range slices.Concat(r.Findings, list.Findings) {
		if f.Severity != commutation.Note {
			out = append(out, f.Code)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
