package rotor

import (
	"math"
	"testing"
)

// TestIdentities: closed forms of a sinusoidal back-EMF, by hand.
func TestIdentities(t *testing.T) {
	const flux, pairs = 9.64e-3, 7
	k := NewConstants(flux, pairs)
	ll := math.Sqrt(3) * pairs * flux
	for what, pair := range map[string][2]float64{
		"line peak":                        {k.KeLinePeak, ll},
		"line rms":                         {k.KeLineRMS, ll / math.Sqrt2},
		"Kv of the peak":                   {k.KvLinePeak, 9.549297 / ll},
		"six-step Kt":                      {k.KtSixStep, 9.1189 / k.KvLinePeak},
		"sine Kt per peak ampere":          {k.KtSinePeak, 8.2699 / k.KvLinePeak},
		"sine Kt per rms ampere":           {k.KtSineRMS, 1.2247449 * ll},
		"sine Kt, line rms":                {k.KtSineRMS, math.Sqrt(3) * k.KeLineRMS},
		"six-step Kt times Kv":             {k.KtSixStep * k.KvSixStep, 9.549297},
		"V/krpm is 104.7198 times V s/rad": {k.KeLinePeak * 1000 / rpm, k.KeLinePeak * 104.7198},
	} {
		near(t, what, pair[0]/pair[1], 1, 1e-5) // the digits of the factors
	}
	near(t, "relative", Relative().KeLinePeak, 1, 1e-15)
	near(t, "relative", Relative().KtSixStep, k.KtSixStep/k.KeLinePeak, 1e-15)
	near(t, "delta", NewConstants(StarEquivalent(flux), pairs).KeLinePeak, pairs*flux, 1e-15)
	if !math.IsNaN(NewConstants(math.NaN(), 7).KvSixStep) {
		t.Error("known constants of an unknown flux")
	}
}

// sixStep returns the constants of a motor whose mean six-step voltage at a speed
// gives that Kv in rpm/V.
func sixStep(kv float64) Constants {
	return NewConstants(rpm/kv*math.Pi/(3*math.Sqrt(3)), 1)
}

// TestPublished: data sheets whose constants agree with each other do so here.
func TestPublished(t *testing.T) {
	// Moons' ECU16052H24-S002, quoted in a public hardware note: 643 rpm/V and
	// 14.85 mNm/A.
	near(t, "Moons'", sixStep(643).KtSixStep*1e3, 14.85, last(2))
	near(t, "Moons'", sixStep(643).KvSixStep, 643, 1e-9)
	// maxon EC 45 flat 200142, 24 and 36 V variants (scribd copy 629363718): speed
	// and current without load, torque and current at stall. The motor's resistance
	// is voltage over stall current. Kv is the speed over the voltage less the drop
	// by the no-load current, Kt the stall torque over the current less that one,
	// which friction takes. Three digits of each are given: 0.2 % at most.
	for volts, c := range map[float64][4]float64{24: {4380, 0.073, 0.253, 4.97}, 36: {4760, 0.0554, 0.380, 5.38}} {
		ohm := volts / c[3]
		kv := c[0] / (volts - c[1]*ohm)
		kt := c[2] / (c[3] - c[1])
		near(t, "maxon", sixStep(kv).KtSixStep/kt, 1, 0.003)
	}
	// A servo motor (encyclopedia2.thefreedictionary.com, torque constant): 51
	// V/krpm is 0.48701 V s/rad and 0.49 N m/A, so by the six-step convention: 9.549
	// of Kt Kv again, to the digits given.
	near(t, "servo", sixStep(1000.0/51).KtSixStep, 0.48701, last(5))
	near(t, "servo", sixStep(1000.0/51).KtSixStep, 0.49, last(2))
	// A public motor configuration (os.mbed.com, BLDC_V2): 0.0024 Wb, 21 pole
	// pairs, 0.075 N m per ampere peak, rounded from 0.0756.
	near(t, "mbed", NewConstants(0.0024, 21).KtSinePeak, 0.0756, 1e-12)
}
