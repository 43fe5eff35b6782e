package rotor

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.6g, want %.6g", what, got, want)
	}
}

// last is half a unit in the last of the digits that an expected number has.
func last(digits int) float64 { return 0.5*math.Pow10(-digits) + 1e-9 }

// TestCarter: worked by hand from the formula. Its usual approximation, gamma g =
// b^2/(g (5 + b/g)) (textbook), agrees to three digits in the first.
func TestCarter(t *testing.T) {
	near(t, "25, 3, 1", Carter(25, 3, 1), 1.0472, last(4))
	near(t, "13.09, 2.5, 0.8", Carter(math.Pi*50/12, 2.5, 0.8), 1.0795, last(4))
	near(t, "13.09, 2.5, 0.8 + 3/1.05", Carter(math.Pi*50/12, 2.5, 0.8+3/1.05), 1.0208, last(4))
	near(t, "approximation", Carter(25, 3, 1), 25/(25-9.0/8), 2e-4)
	near(t, "no slots", Carter(25, 0, 1), 1, 0)
}

// homeWound is a motor made up for these tests: 12 slots, 14 poles, 50 mm, N42.
func homeWound(gapM float64) Design {
	return Design{
		Magnet: Magnet{1.30, RecoilNdFeB, 3e-3}, Pole: Arc(gapM, 0.8), PolePairs: 7,
		StatorM: 50e-3, StackM: 15e-3, Slots: 12, SlotOpeningM: 2.5e-3,
		Turns: 80, WindingFactor: 0.9330,
	}
}

// TestWorked: computed by hand, step by step.
func TestWorked(t *testing.T) {
	d := homeWound(0.8e-3)
	near(t, "Carter", d.Carter(), 1.0208, last(4))
	near(t, "gap field", d.GapT(0), 0.995, last(3))
	near(t, "beyond the magnet", d.GapT(1.4), 0, 0)
	near(t, "fundamental", d.HarmonicT(1), 1.205, last(3))
	near(t, "pole flux", d.PoleFluxWb()*1e3, 0.1291, last(4))
	near(t, "linkage", d.LinkageVS()*1e3, 9.635, last(3))
	k := NewConstants(d.LinkageVS(), 7)
	near(t, "Ke", k.KePhasePeak*1e3, 67.4, last(1))
	near(t, "by hand at 120 rpm", k.KePhasePeak*120/rpm, 0.85, last(2))
	// A gap of 1.6 mm costs 18 % and leaves 55.5 mV s/rad.
	wide := NewConstants(homeWound(1.6e-3).LinkageVS(), 7)
	near(t, "wide gap", wide.KePhasePeak*1e3, 55.5, 0.1) // from intermediate results of three digits
	near(t, "wide gap", wide.KePhasePeak/k.KePhasePeak, 0.82, last(2))
	// Ten poles give the same: flux falls as 1/p, back-EMF rises as p.
	ten := d
	ten.PolePairs = 5
	near(t, "ten poles", NewConstants(ten.LinkageVS(), 5).KePhasePeak, k.KePhasePeak, 1e-12)
}

// TestGapField: by hand for a remanence of 1.30 T, 3 mm and a Carter coefficient of
// 1.05 on the gap, which the form Br/(1 + mu kC g/l) has; the program's own, which
// has it on gap and magnet, is within the next percent of it.
func TestGapField(t *testing.T) {
	for gap, want := range map[float64]float64{0.5: 1.098, 0.8: 1.005, 1.0: 0.951, 1.5: 0.838, 2.0: 0.749} {
		flat := Design{Magnet: Magnet{1.30, RecoilNdFeB, 3e-3}, Pole: Arc(gap*1.05*1e-3, 1), StatorM: 1, Slots: 1}
		near(t, "gap field", flat.GapT(0), want, last(3))
	}
}

// TestSensitivity: d ln B/dg = -mu/(l + mu kC g), by hand -2.7 % per 0.1 mm for 3
// mm and a gap of 0.8 mm, without slots.
func TestSensitivity(t *testing.T) {
	d := homeWound(0.8e-3)
	d.SlotOpeningM = 0
	near(t, "per 0.1 mm", d.GapSensitivity()*1e-4, -1.05*1e-4/(3e-3+1.05*0.8e-3), 1e-6) // difference quotient
	near(t, "per 0.1 mm", 100*d.GapSensitivity()*1e-4, -2.7, last(1))
}

// TestHarmonics: B1/B = 4/pi sin(90 alpha), by hand; two thirds of a pole have no
// third harmonic and four fifths no fifth; Bn/B1 = sin(90 n alpha)/(n sin(90 alpha)).
func TestHarmonics(t *testing.T) {
	for alpha, want := range map[float64]float64{
		.6: 1.030, 2.0 / 3: 1.103, .7: 1.134, .75: 1.176, .8: 1.211, .85: 1.238, .9: 1.258, 1: 1.273,
	} {
		d := homeWound(0.8e-3)
		d.Pole = Arc(0.8e-3, alpha)
		b := d.GapT(0)
		near(t, "B1/B", d.HarmonicT(1)/b, want, last(3))
		for _, n := range []int{3, 5, 7} {
			s := math.Sin(float64(n)*alpha*math.Pi/2) / float64(n)
			near(t, "Bn/B", d.HarmonicT(n)/b, 4/math.Pi*s, 1e-9) // quadrature
		}
	}
	d := homeWound(0.8e-3)
	near(t, "fifth", d.HarmonicT(5), 0, 1e-9)
	d.Pole = Arc(0.8e-3, 2.0/3)
	near(t, "third", d.HarmonicT(3), 0, 1e-9)
}

// TestMeasuredMotors: computed against measured, both as published.
func TestMeasuredMotors(t *testing.T) {
	// Belkhadir and others, IECON 2023, DOI 10.1109/IECON51785.2023.10312419: 24
	// slots, 22 poles, rotor outside; radii 88.635 and 90.0 mm, remanence 1.26 T, 3
	// mm, 0.855 of a pole, 35 mm long, 22 turns on each of 8 coils in series. Back-EMF
	// 65 to 70 V peak at 600 rpm. The slot openings are not given: 0.165 of the pitch
	// is an estimate.
	stator := 2 * 88.635e-3
	d := Design{
		Magnet: Magnet{1.26, RecoilNdFeB, 3e-3}, Pole: Arc(1.365e-3, 0.855), PolePairs: 11,
		StatorM: stator, StackM: 35e-3, Slots: 24, SlotOpeningM: 0.165 * math.Pi * stator / 24,
		Turns: 22 * 8, WindingFactor: 0.9495,
	}
	near(t, "Carter", d.Carter(), 1.024, last(3))
	near(t, "gap field", d.GapT(0), 0.833, last(3))
	near(t, "fundamental", d.HarmonicT(1), 1.033, last(3))
	near(t, "pole flux", d.PoleFluxWb()*1e3, 0.583, last(3))
	near(t, "linkage", d.LinkageVS()*1e3, 97.4, last(1))
	measured := 67.5 / (600 / rpm * 11)
	if share, within := d.Expected(measured); !within || math.Abs(share-1) > 0.04 { // 65 to 70 V is +-3.7 %
		t.Errorf("24/22: %g", share)
	}
	// A 14 mm 9-slot 12-pole outrunner in public measurement notes: remanence
	// 1.45 T nominal, 1.287 mm, gap 0.528 mm, 0.635 of a pole, 7 mm long, 24 turns
	// a phase. Measured 0.268 mV s. The formula gives 35 % more; the opening is an
	// estimate, a fifth of the pitch.
	d = Design{
		Magnet: Magnet{1.45, RecoilNdFeB, 1.287e-3}, Pole: Arc(0.528e-3, 0.635), PolePairs: 6,
		StatorM: 14e-3, StackM: 7e-3, Slots: 9, SlotOpeningM: 0.2 * math.Pi * 14e-3 / 9,
		Turns: 24, WindingFactor: 0.866,
	}
	near(t, "linkage", d.LinkageVS()*1e3, 0.361, 0.002) // the estimate's share in it
	share, within := d.Expected(0.268e-3)
	near(t, "share", 1/share, 1.35, 0.01)
	if !within {
		t.Error("a motor that was measured is outside of the limits")
	}
	if _, within := d.Expected(0.1e-3); within {
		t.Error("a third of the flux is within the limits")
	}
}

func TestDesignCheck(t *testing.T) {
	for want, change := range map[string]func(*Design){
		"":                                       func(*Design) {},
		"the remanence must be above zero":       func(d *Design) { d.Magnet.RemanenceT = 0 },
		"the gap must be above zero":             func(d *Design) { d.Pole = Arc(-1e-3, 0.8) },
		"the stack length must be above zero":    func(d *Design) { d.StackM = math.NaN() },
		"the number of turns must be above zero": func(d *Design) { d.Turns = math.Inf(1) },
		"the magnets are wider than a pole":      func(d *Design) { d.Pole = Arc(1e-3, 1.1) },
		"a slot opening of 20 mm does not fit a slot pitch of 13.09 mm": func(d *Design) { d.SlotOpeningM = 20e-3 },
	} {
		d := homeWound(0.8e-3)
		change(&d)
		got := ""
		if err := d.Check(); err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
