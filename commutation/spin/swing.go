package spin

import (
	"fmt"
	"math"

	"handspin/capture"
	"handspin/commutation"
)

// A line is marked whose swing is at most shareHalf of the widest, or that stays
// at least shareBetween of another's swing away from both of its levels: common
// practice, a pull-up and a sensor that work give all lines the same two levels
// to a few percent.
const (
	shareHalf    = 0.6
	shareBetween = 0.2
)

// reportSwing says where a Hall line that was recorded as a voltage swings less
// than the others, or stays between their levels.
func (a *analysis) reportSwing(i int) {
	s := a.rec.Swings[i]
	if !s.Known {
		return
	}
	lead := leadName("h", i)
	var widest capture.Swing
	for _, other := range a.rec.Swings {
		if other.Known && (!widest.Known || other.Width() > widest.Width()) {
			widest = other
		}
	}
	margin := shareBetween * widest.Width()
	switch {
	case s.Width() > 0 && s.Width() <= shareHalf*widest.Width():
		a.find("sensor-level", commutation.Note, lead, fmt.Sprintf("%s swings by only %s, from %s to %s, another by %s", lead, volts(s.Width(), s), volts(s.Low, s), volts(s.High, s), volts(widest.Width(), widest)),
			"look at its supply, its pull-up and what else hangs on the line: a controller may not see such levels")
	case s.Width() == 0 && s.Low > widest.Low+margin && s.Low < widest.High-margin:
		a.find("sensor-level", commutation.Note, lead, fmt.Sprintf("%s stays at %s, between the levels %s and %s of another", lead, volts(s.Low, s), volts(widest.Low, widest), volts(widest.High, widest)),
			"look for an open wire, a missing pull-up or two lines that touch")
	}
}

// volts prints a line's level with its unit, where that is known.
func volts(v float64, s capture.Swing) string {
	text := fmt.Sprintf("%.2f", math.Round(v*100)/100+0)
	if s.Volts {
		text += " V"
	}
	return text
}
