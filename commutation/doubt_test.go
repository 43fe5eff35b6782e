package commutation

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// shifted returns motor120 with all sensors late by d degrees.
func shifted(d float64) Motor { return ideal(30+d, 150+d, 270+d) }

func TestConfidenceFromDraws(t *testing.T) {
	// Sensors late by 25 degrees, drawn at 15 and 35. By the cosine law the
	// numbers and their scatter about the estimate are known; the Gaussian
	// tails are gonum's.
	cos := func(deg float64) float64 { return math.Cos(deg * math.Pi / 180) }
	passes := func(at, limit, one, two float64) float64 {
		sd := math.Sqrt((math.Pow(one-at, 2)+math.Pow(two-at, 2))/2 + modelTorque*modelTorque)
		return distuv.UnitNormal.CDF((at - limit) / sd)
	}
	want := passes(cos(25), 0.85, cos(15), cos(35)) *
		passes(cos(55)/sineMean, 0.2, cos(45)/sineMean, cos(65)/sineMean)
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
		d := doubt{
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
		if s := d.settled(); !(s >= 0 && s <= 1) {
			t.Fatalf("settled %v", s)
		}
	})
}
