package present

import (
	"fmt"
	"math"
	"strings"
)

// speed adds how fast the rotor turned, and the back-EMF's peaks in volts where
// these are known.
func (p *page) speed(a *Answer) {
	s := a.Spin.Speed
	if math.IsNaN(s.MeanHz) || a.AtRest {
		return
	}
	text := fmt.Sprintf("electrical frequency %s Hz on the mean, %s to %s Hz", digits4(s.MeanHz), digits4(s.SlowestHz), digits4(s.FastestHz))
	var volts []string
	for i := range a.Spin.Phases {
		if v := a.Spin.PeakVolts(i); !math.IsNaN(v) {
			volts = append(volts, a.both(phaseKey(i))+" "+digits4(v)+" V")
		}
	}
	p.item("  ", text)
	if len(volts) > 0 {
		p.item("  ", "back-EMF's peak at that mean: "+strings.Join(volts, ", "))
	}
}

// digits4 prints a number with four digits, those before the point aside.
func digits4(v float64) string {
	whole := max(1, 1+int(math.Floor(math.Log10(math.Max(math.Abs(v), 0.1)))))
	return fixed(v, max(0, 4-whole))
}

// speedJSON is in electrical turns per second.
type speedJSON struct {
	Mean    *float64 `json:"mean"`
	Slowest *float64 `json:"slowest"`
	Fastest *float64 `json:"fastest"`
}

func newSpeedJSON(a *Answer) *speedJSON {
	s := a.Spin.Speed
	if math.IsNaN(s.MeanHz) || a.AtRest {
		return nil
	}
	return &speedJSON{significant(s.MeanHz), significant(s.SlowestHz), significant(s.FastestHz)}
}

// peakVolts has the leads' peaks at the mean speed; nil where volts are not known.
func peakVolts(a *Answer) map[string]*float64 {
	out := map[string]*float64{}
	for i := range a.Spin.Phases {
		if v := a.Spin.PeakVolts(i); !math.IsNaN(v) && !a.AtRest {
			out[phaseKey(i)] = significant(v)
		}
	}
	return out
}
