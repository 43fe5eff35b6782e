package winding

import (
	"math"
	"testing"
)

func TestWire(t *testing.T) {
	// Diameters and resistances by ASTM B258 and 1/58 ohm mm2/m, by hand. AWG24
	// 0.511 mm (cms.ua) and 84.2 ohm/km, AWG18 20.94, AWG20 33.29, AWG22 52.94
	// (public code file) agree within the 0.1 % that their copper differs by.
	for gauge, want := range map[float64][2]float64{
		18: {1.0237, 20.95}, 20: {.8118, 33.31}, 21: {.7229, 42.00}, 22: {.6438, 52.96}, 23: {.5733, 66.79},
		24: {.5106, 84.22}, 25: {.4547, 106.2}, 26: {.4049, 133.9}, 27: {.3606, 168.9}, 28: {.3211, 212.9},
		29: {.2859, 268.5}, 30: {.2546, 338.6}, 31: {.2268, 426.9}, 32: {.2019, 538.3},
	} {
		w := AWG(gauge)
		near(t, "mm", w.DiameterM*1e3, want[0], fourDigits)
		near(t, "ohm/km", w.OhmPerM(20)*1e3, want[1], want[1]*1e-3/2) // three to four digits
	}
	near(t, "AWG24", AWG(24).DiameterM*1e3, 0.511, three)
	near(t, "AWG24", AWG(24).OhmPerM(20)*1e3, 84.2, 0.05)
	near(t, "area", AWG(24).AreaM2()*1e6, .20473, 1e-5)
	for gauge, published := range map[float64]float64{18: 20.94, 20: 33.29, 22: 52.94} {
		near(t, "published", AWG(gauge).OhmPerM(20)*1e3, published, published*1e-3)
	}
	// 0.500 mm is 0.08781 ohm/m at 1/58, by hand; IEC 60317 has 0.08706, nominal
	// (from memory), with slightly better copper: within a percent.
	half := Wire{0.5e-3}
	near(t, "0.5 mm", half.OhmPerM(20), .08781, 1e-5)
	near(t, "0.5 mm, IEC", half.OhmPerM(20), .08706, .08706*0.01)
}

func TestCopperRatio(t *testing.T) {
	// By hand from (234.5 + T)/254.5.
	for celsius, want := range map[float64]float64{0: .921, 20: 1, 25: 1.020, 40: 1.079, 80: 1.236, 100: 1.314} {
		near(t, "ratio", CopperRatio(celsius), want, three)
	}
	// IEC's coefficient at 20 degrees, 0.00393 per kelvin (Industrial Power
	// Engineering and Applications Handbook, p. 970).
	near(t, "coefficient", CopperRatio(21)-1, 3.93e-3, 1e-5)
}

func TestParseWire(t *testing.T) {
	for text, mm := range map[string]float64{"AWG24": .5106, "awg 24": .5106, "0.5": .5, "0.5mm": .5, " 0.5 mm": .5, "AWG24.0": .5106} {
		w, err := ParseWire(text)
		if err != nil {
			t.Errorf("%q: %v", text, err)
		}
		near(t, text, w.DiameterM*1e3, mm, fourDigits)
	}
	for text, want := range map[string]string{
		"":      `"" is neither a gauge such as AWG24 nor a diameter from 0.01 to 10 mm`,
		"24":    `"24" is neither a gauge such as AWG24 nor a diameter from 0.01 to 10 mm`,
		"NaN":   `"NaN" is neither a gauge such as AWG24 nor a diameter from 0.01 to 10 mm`,
		"AWG":   `"AWG" is not a gauge from AWG0 to AWG50`,
		"AWG99": `"AWG99" is not a gauge from AWG0 to AWG50`,
		"AWGx":  `"AWGx" is not a gauge from AWG0 to AWG50`,
	} {
		if _, err := ParseWire(text); err == nil || err.Error() != want {
			t.Errorf("%q: got %v", text, err)
		}
	}
}

// TestPhaseWire: a 12-slot 10-pole star winding of 33 strands of AWG24 and 3 turns
// a tooth (common practice) has by hand 4 x 3 turns of 33 x 0.20473 mm2; with a mean
// turn of 100 mm, 12 x 0.1 x 0.08422 / 33 ohm a phase, twice that between leads.
func TestPhaseWire(t *testing.T) {
	p := PhaseWire{Wire: AWG(24), Strands: 33, Paths: 1, Coils: 4, Turns: 3, MeanTurnM: 0.1}
	near(t, "turns", p.SeriesTurns(), 12, 0)
	near(t, "area", p.AreaM2()*1e6, 6.756, three)
	ohm := p.Ohm(20)
	near(t, "ohm", ohm*1e3, 3.0625, three)
	near(t, "warm", p.Ohm(80)/ohm, 1.236, three)
	near(t, "star", StarLines([3]float64{ohm, ohm, ohm})[0], 2*ohm, exact)
	near(t, "delta", DeltaLines([3]float64{ohm, ohm, ohm})[0], 2*ohm/3, exact)
	// Two paths of two coils: half the turns, a quarter of the resistance.
	p.Paths = 2
	near(t, "turns in two paths", p.SeriesTurns(), 6, 0)
	near(t, "two paths", p.Ohm(20), ohm/4, math.Abs(ohm)*exact)
}
