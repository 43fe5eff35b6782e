package present

import (
	"fmt"
	"math"
	"strings"

	"handspin/commutation/spin"
)

// sensorHealth adds what a list of wirings has no need of.
func (p *page) sensorHealth(n *Inspection) {
	if header, rows := filled(sensorHealthHeader, n.sensorHealthRows()); len(rows) > 0 {
		p.gap()
		p.table(plainTable, header, rows)
		for i, s := range n.Spin.Sensors {
			p.para(n.levelWords(i))
			p.para(n.eventWords(i, s))
		}
		p.para(n.placeWords())
	}
}

func (n *Inspection) sensorHealthRows() (rows [][]string) {
	for i, s := range n.Spin.Sensors {
		if !s.Placed || n.AtRest { // where no level was followed
			continue
		}
		rows = append(rows, append([]string{n.both(hallKey(i)), fmt.Sprintf("%.1f %%", 100*s.Duty), fmt.Sprintf("%.1f %%", 100*s.Agreement),
			fmt.Sprint(s.Glitches)}, n.offPlace(s)...))
	}
	return rows
}

// levelWords are the levels of a Hall line that was recorded as a voltage.
func (n *Inspection) levelWords(i int) string {
	swing := n.Recording.Swings[i]
	if !swing.Known {
		return ""
	}
	unit := ""
	if swing.Volts {
		unit = " V"
	}
	return fmt.Sprintf("%s is %.2f%s when low and %.2f%s when high.", n.both(hallKey(i)), swing.Low, unit, swing.High, unit)
}

// eventWords says when a sensor missed edges or had extra ones.
func (n *Inspection) eventWords(i int, s spin.Sensor) string {
	var parts []string
	if len(s.Missed) > 0 && n.Rotor.gaps() == 0 {
		parts = append(parts, fmt.Sprintf("missed %d %s, %s", len(s.Missed), verb(len(s.Missed), "edge", "edges"), firstTimes(s.Missed)))
	}
	if len(s.Extra) > 0 {
		parts = append(parts, fmt.Sprintf("had %d %s that no magnet made, %s", len(s.Extra), verb(len(s.Extra), "change", "changes"), firstTimes(s.Extra)))
	}
	if len(parts) == 0 {
		return ""
	}
	return n.both(hallKey(i)) + " " + strings.Join(parts, "; it ") + "."
}

// firstTimes lists the first few of the times.
func firstTimes(times []float64) string {
	const few = 3
	var out []string
	for _, t := range times[:min(few, len(times))] {
		out = append(out, fmt.Sprintf("%.3f", t))
	}
	text := "at " + strings.Join(out, ", ") + " s"
	if len(times) > few {
		text = "the first " + text
	}
	return text
}

// offPlace says which way and how far to move a sensor: in electrical degrees, in
// degrees of the shaft where the pole pairs are known, in millimetres where the
// sensors' radius is.
func (n *Inspection) offPlace(s spin.Sensor) []string {
	if math.IsNaN(s.ErrorDeg) {
		return []string{"?", "", ""}
	}
	way := " back"
	if s.ErrorDeg < 0 {
		way = " forward"
	}
	off := math.Abs(s.ErrorDeg)
	if off < 0.05 { // reads 0.0
		way = ""
	}
	out := []string{fmt.Sprintf("%.1f%s", off, way), "", ""}
	if pairs := n.Recording.PolePairs; pairs > 0 {
		shaft := off / float64(pairs)
		out[1] = fmt.Sprintf("%.2f", shaft)
		if n.RadiusMM > 0 {
			out[2] = fmt.Sprintf("%.2f", shaft*math.Pi/180*n.RadiusMM)
		}
	}
	return out
}

// placeWords says what the sensors' places cost: with the edges of sensor k off
// by e_k the mean torque of six-step drive is (cos e1 + cos e2 + cos e3)/3 of
// what it was, which commutation's tests hold against quadrature.
func (n *Inspection) placeWords() string {
	cost, count := 0.0, 0
	for _, s := range n.Spin.Sensors {
		if s.Placed && !math.IsNaN(s.ErrorDeg) {
			cost += math.Cos(s.ErrorDeg * math.Pi / 180)
			count++
		}
	}
	if count < 3 {
		return ""
	}
	text := fmt.Sprintf("The sensors' own place errors cost %.1f %% of the torque; up to nine degrees each are usual.", 100*(1-cost/3))
	if shift := n.Spin.ShiftDeg; !math.IsNaN(shift) {
		late := "late"
		if shift < 0 {
			late = "early"
		}
		text += fmt.Sprintf(" All three together are %.1f electrical degrees %s of the nearest places that suit six-step drive, which costs %.1f %%.",
			math.Abs(shift), late, 100*(1-math.Cos(shift*math.Pi/180)))
		if math.IsNaN(n.Spin.Sensors[0].HysteresisDeg.Value) {
			text += " Seen in one direction only, their hysteresis is in that: spin both ways to part them."
		}
	}
	return text
}

var sensorHealthHeader = []string{"lead", "high for", "right level", "short pulses", "to move", "shaft, deg", "mm"}
