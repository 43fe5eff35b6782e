package commutation

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// shifted returns motor120 with all sensors late by d degrees.
func shifted(d float64) Motor { return ideal(30+d, 150+d, 270+d) }

func TestConfidenceFromDraws(t *testing.T) {
	// Sensors late by 25 degrees, drawn at 15 and 35. By the cosine law the numbers are
	// known, and with two draws the mixture by hand: the spread is h of half the distance
	// of the two, and their distance shrinks by sqrt(1-h^2). The tails are gonum's.
	cos := func(deg float64) float64 { return math.Cos(deg * math.Pi / 180) }
	h := math.Pow(2, -0.2)
	passes := func(limit, one, other float64) float64 {
		middle, half := (one+other)/2, (one-other)/2
		return distuv.UnitNormal.CDF((middle + math.Sqrt(1-h*h)*half - limit) / math.Hypot(h*half, modelTorque))
	}
	want := 0.0
	for _, deg := range []float64{15, 35} {
		other := 50 - deg
		want += passes(0.85, cos(deg), cos(other)) * passes(0.2, cos(30+deg)/sineMean, cos(30+other)/sineMean) / 2
	}
	r := Rank(shifted(25), []Motor{shifted(15), shifted(35)}, Typical())
	j := find(t, r, straight())
	near(t, "confidence", j.Confidence, want, rounding)
	if j.Confidence < 0.5 || j.Confidence > 0.9 {
		t.Errorf("confidence %g is not between, as it has to be for this test to tell", j.Confidence)
	}
	if len(r.Findings) != 1 || r.Findings[0].Code != "wiring-borderline" || r.Findings[0].Severity != Data || r.Findings[0].Hint == "" {
		t.Errorf("findings %+v", r.Findings)
	}
	if v, _ := Decide(r, true, 1, nil); v != MoreData {
		t.Errorf("verdict %s", v)
	}
}

func TestConfidenceWithoutDraws(t *testing.T) {
	for _, j := range Rank(motor120(), nil, Typical()).Wirings {
		if j.Confidence < 0.999999 { // all margins are above 15 model errors
			t.Errorf("%v: %g", j.Wiring, j.Confidence)
		}
	}
	// At the threshold exactly it is even: late by acos 0.85.
	r := Rank(shifted(math.Acos(0.85)*180/math.Pi), nil, Typical())
	j := find(t, r, straight())
	near(t, "confidence", j.Confidence, 0.5, 1e-6)
	// The three clean wirings of its group and the three reverse ones are one
	// event, so the doubt counts once, not six times.
	near(t, "clean set", r.CleanConfidence, 0.5, 1e-6)
}

func TestFaultConfidence(t *testing.T) {
	// A gap of 1.05 degrees is half the model's 0.1 degrees over the limit.
	m := motor120()
	for i := range 3 {
		m.Sensors[i] = Sensor{RiseDeg: 60 + 120*float64(i), FallDeg: Wrap(180 + 120*float64(i))}
	}
	m.Sensors[0].FallDeg -= 1.05
	r := Rank(m, nil, Typical())
	j := find(t, r, straight())
	if j.Behaviour != Fault {
		t.Fatal(j.Behaviour)
	}
	near(t, "confidence", j.Confidence, distuv.UnitNormal.CDF(0.5), 1e-6)
	// That nothing is clean is uncertain, so the answer is another recording,
	// not a repair.
	if v, _ := Decide(r, true, 1, nil); v != MoreData || !strings.Contains(r.Findings[0].Text, "least so for U=") {
		t.Errorf("%s, %+v", v, r.Findings)
	}
}

func TestProbabilitiesSumToOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-2, 2).Draw(t, "low")
		number := func(what string, from, to float64) float64 { return rapid.Float64Range(from, to).Draw(t, what) }
		d := gaussian{
			at: torque{mean: number("mean", -2, 2), low: low, high: low + number("width", 0, 3), gapDeg: number("gap", 0, 60)},
			sd: torque{mean: number("sd", 0.005, 1), low: number("sd", 0.005, 1), high: number("sd", 0.005, 1), gapDeg: number("sd", 0.1, 5)},
		}
		sum := 0.0
		for _, b := range behaviours {
			p := d.probability(b)
			if !(p >= 0 && p <= 1) {
				t.Fatalf("%s: %v", b, p)
			}
			sum += p
		}
		// Only a mean of large scatter is by chance over both limits of weak
		// at once, an overlap that stall gives up.
		over := above(d.at.mean-minWeakMean, d.sd.mean) + above(-d.at.mean-minWeakMean, d.sd.mean) - 1
		if over <= 0 && math.Abs(sum-1) > rounding {
			t.Fatalf("sum %v", sum)
		}
		for _, b := range behaviours {
			if s := d.settled(b); !(s >= 0 && s <= 1) {
				t.Fatalf("settled %v", s)
			}
		}
	})
}

// Spread and drawn together, the draws keep their mean and standard deviation, but for what
// the model adds; and all groups together are no surer than the least sure of them.
func TestMixture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "n")
		draws, x := make([]torque, n), make([]float64, n)
		for i := range draws {
			x[i] = rapid.Float64Range(-2, 2).Draw(t, "mean")
			draws[i] = torque{mean: x[i], low: x[i] / 2, high: 2 * x[i]}
		}
		d := newDoubt(torque{mean: 1, low: 0.5, high: 2}, draws)
		mean, square := 0.0, 0.0
		for _, g := range d.mixture {
			mean += g.at.mean / float64(n)
			square += (g.at.mean*g.at.mean + g.sd.mean*g.sd.mean) / float64(n)
		}
		wantMean, wantVariance := stat.PopMeanVariance(x, nil)
		if got := square - mean*mean - modelTorque*modelTorque; math.Abs(mean-wantMean) > 1e-12 || math.Abs(got-wantVariance) > 1e-12 {
			t.Fatalf("mean %g, variance %g, want %g, %g", mean, got, wantMean, wantVariance)
		}
		other := newDoubt(torque{mean: -1, low: -2, high: -0.5}, draws)
		if all, least := together(d.settled(), other.settled()), min(together(d.settled()), together(other.settled())); all > least+rounding || all < 0 {
			t.Fatalf("all together %g, the least %g", all, least)
		}
	})
}
