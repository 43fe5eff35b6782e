package winding

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// ResistivityOhmM is copper's at 20 degrees Celsius, 1/58 ohm mm2/m (IEC 60028,
// 1925).
const ResistivityOhmM = 1e-6 / 58

// Wire is one round strand of copper.
type Wire struct{ DiameterM float64 }

// AWG returns the wire of a gauge: 0.127 mm 92^((36-n)/39) (ASTM B258).
func AWG(gauge float64) Wire {
	return Wire{0.127e-3 * math.Pow(92, (36-gauge)/39)}
}

// ParseWire reads AWG24, or a diameter of bare copper in millimetres such as 0.5
// or 0.5mm. Gauges are from 0 to 50, diameters from 0.01 to 10 mm.
func ParseWire(text string) (Wire, error) {
	lower := strings.ToLower(strings.TrimSpace(text))
	if number, isGauge := strings.CutPrefix(lower, "awg"); isGauge {
		gauge, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
		if err != nil || !(gauge >= 0 && gauge <= 50) {
			return Wire{}, fmt.Errorf("%q is not a gauge from AWG0 to AWG50", text)
		}
		return AWG(gauge), nil
	}
	mm, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(lower, "mm")), 64)
	if err != nil || !(mm >= 0.01 && mm <= 10) {
		return Wire{}, fmt.Errorf("%q is neither a gauge such as AWG24 nor a diameter from 0.01 to 10 mm", text)
	}
	return Wire{mm / 1000}, nil
}

// AreaM2 returns the section of the copper.
func (w Wire) AreaM2() float64 { return pi / 4 * w.DiameterM * w.DiameterM }

// OhmPerM returns the resistance per metre at so many degrees Celsius.
func (w Wire) OhmPerM(celsius float64) float64 {
	return ResistivityOhmM * CopperRatio(celsius) / w.AreaM2()
}

// CopperRatio returns copper's resistance relative to that at 20 degrees Celsius:
// (234.5 + T)/254.5 (textbook; a coefficient of 0.00393 per kelvin at 20 degrees).
func CopperRatio(celsius float64) float64 { return (234.5 + celsius) / 254.5 }

// PhaseWire is how a phase is wound.
type PhaseWire struct {
	Wire Wire
	// Strands lie in parallel in each turn, Paths are parallel branches of the
	// phase.
	Strands, Paths int
	// Coils is the phase's number of coils, each of so many turns of the mean
	// length MeanTurnM.
	Coils     int
	Turns     float64
	MeanTurnM float64
}

// SeriesTurns returns the turns that add up between the ends of the phase.
func (p PhaseWire) SeriesTurns() float64 { return p.Turns * float64(p.Coils) / float64(p.Paths) }

// Ohm returns the phase's resistance at so many degrees Celsius. Stretched wire
// and ends make the real one a few percent larger.
func (p PhaseWire) Ohm(celsius float64) float64 {
	length := p.SeriesTurns() * p.MeanTurnM
	return p.Wire.OhmPerM(celsius) * length / float64(p.Strands*p.Paths)
}

// AreaM2 returns the copper section of one turn.
func (p PhaseWire) AreaM2() float64 { return p.Wire.AreaM2() * float64(p.Strands) }
