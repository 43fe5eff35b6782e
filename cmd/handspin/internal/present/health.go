package present

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"handspin/commutation/spin"
)

// sensors adds a line for each sensor.
func (p *page) sensors(a *Answer) {
	p.gap()
	title, header, rows := a.sensorTable()
	p.para(title)
	p.byLead(header, rows)
	p.para(a.timingWords())
}

// sensorTable has a row for each sensor.
func (a *Answer) sensorTable() (title string, header []string, rows [][]string) {
	for i, s := range a.Spin.Sensors {
		rows = append(rows, a.sensorRow(i, s))
	}
	header = []string{"lead", "rises", "falls", "off place", "hysteresis", "edges"}
	if a.AtRest { // which tells no more than places
		header = header[:3]
		for i := range rows {
			rows[i] = rows[i][:3]
		}
	}
	return fmt.Sprintf("Sensors: %s (electrical degrees, ± standard deviation)", spacingWords(a.Spin.SpacingDeg)), header, rows
}

// byLead adds a table whose first column has the leads' keys and names. Where
// these make it too wide the names go below it.
func (p *page) byLead(header []string, rows [][]string) {
	text, err := plainTable(header, rows)
	if err != nil || widest(text) <= columns {
		p.table(plainTable, header, rows)
		return
	}
	var names []string
	for i, row := range rows {
		names = append(names, row[0])
		key, _, _ := strings.Cut(row[0], " ")
		rows[i] = append([]string{key}, row[1:]...)
	}
	p.table(plainTable, header, rows)
	p.item("  ", strings.Join(names, ", "))
}

func (a *Answer) sensorRow(i int, s spin.Sensor) []string {
	lead := a.both(hallKey(i))
	switch {
	case !s.Known:
		return []string{lead, "not recorded", "", "", "", ""}
	case !s.Placed:
		return []string{lead, "no place found", "", "", "", ""}
	}
	return []string{
		lead,
		angle(a.Spin.Edge(s.RiseDeg), 1),
		angle(a.Spin.Edge(s.FallDeg), 1),
		signed(s.ErrorDeg),
		hysteresis(s.HysteresisDeg),
		fmt.Sprint(s.Edges),
	}
}

// hysteresis takes a spin in both directions.
func hysteresis(v spin.Value) string {
	if math.IsNaN(v.Value) {
		return "one way only"
	}
	return value(v.Value, v.SD, 1)
}

// signed prints an angle with its sign.
func signed(deg float64) string {
	if math.IsNaN(deg) {
		return "?"
	}
	if math.Abs(deg) < 0.05 {
		return "0.0"
	}
	return fmt.Sprintf("%+.1f", deg)
}

// phases adds a line for each phase.
func (p *page) phases(a *Answer) {
	p.gap()
	p.para(a.phasesTitle())
	header, rows := a.phaseTable()
	p.byLead(header, rows)
	p.item("  ", a.fluxWords())
}

// phaseTable has a row for each phase.
func (a *Answer) phaseTable() (header []string, rows [][]string) {
	for i, ph := range a.Spin.Phases {
		rows = append(rows, a.phaseRow(i, ph))
	}
	return []string{"lead", "lags", "back-EMF", "harmonics"}, rows
}

// fluxWords is empty where the flux linkage is not known.
func (a *Answer) fluxWords() string {
	f := a.Spin.FluxLinkage
	if math.IsNaN(f.Value) {
		return ""
	}
	return "peak flux linkage " + precise(f.Value*1e3, f.SD*1e3) + " mV s"
}

func (a *Answer) phasesTitle() string {
	if a.Spin.PhaseOrder == nil {
		return "Phases"
	}
	var names []string
	for _, i := range a.Spin.PhaseOrder {
		names = append(names, a.phaseName(i))
	}
	return "Phases: forward they follow one another as " + strings.Join(names, ", ")
}

func (a *Answer) phaseRow(i int, p spin.Phase) []string {
	lead := a.both(phaseKey(i))
	if !p.Known || math.IsNaN(p.Amplitude.Value) {
		return []string{lead, "not known", "", ""}
	}
	return []string{
		lead,
		lag(i, p.AngleDeg),
		size(p.Amplitude),
		harmonics(p.Harmonics),
	}
}

// size prints a phase's back-EMF, to which the strongest's is 100 % by definition.
func size(v spin.Value) string {
	if v.Value == 1 && v.SD == 0 {
		return "100 %"
	}
	return value(100*v.Value, 100*v.SD, 1) + " %"
}

// vagueDeg is the standard deviation from which on nothing is known of an angle:
// that of a lead without back-EMF.
const vagueDeg = 30

// lag prints by how much lead i lags p1, from which angles count.
func lag(i int, v spin.Value) string {
	switch {
	case i == 0:
		return "0"
	case v.SD > vagueDeg:
		return "?"
	}
	return angle(v, 1)
}

// harmonics lists amplitudes relative to the fundamental: "5th 4.0 %, 7th 2.9 %".
func harmonics(h map[int]float64) string {
	var out []string
	for _, n := range slices.Sorted(maps.Keys(h)) {
		out = append(out, fmt.Sprintf("%d%s %.1f %%", n, ordinal(n), 100*h[n]))
	}
	return strings.Join(out, ", ")
}

func ordinal(n int) string {
	switch {
	case n/10%10 == 1:
	case n%10 == 1:
		return "st"
	case n%10 == 2:
		return "nd"
	case n%10 == 3:
		return "rd"
	}
	return "th"
}
