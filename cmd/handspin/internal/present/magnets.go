package present

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strings"

	"handspin/commutation/rotor"
	"handspin/commutation/winding"
)

// Magnets is what a motor's magnets should give, by its sizes.
type Magnets struct {
	Design rotor.Design
	// Blocks is nil where the magnets are arcs.
	Blocks *rotor.Blocks
	// Wire is nil where it is not known; then so is the resistance, which is
	// at Celsius.
	Wire    *winding.PhaseWire
	Celsius float64
	// Delta is true where the phases are connected in delta.
	Delta bool
	// MeasuredVS is a measured flux linkage of the star or the star that the
	// delta equals, NaN where there is none.
	MeasuredVS float64
	// Notes are what was assumed.
	Notes []string
}

// quantity is a number with its words and units.
type quantity struct {
	// key names it in CSV and JSON, where it is in SI units.
	key, words string
	value      float64
	// scale and unit are for text.
	scale float64
	unit  string
}

// text prints the quantity in three digits, all of them before the point.
func (q quantity) text() string {
	x := q.value * q.scale
	digits := min(max(0, 2-int(math.Floor(math.Log10(math.Abs(x))))), 6)
	if q.unit == "" && x == math.Trunc(x) { // a count
		digits = 0
	}
	return strings.TrimSpace(fmt.Sprintf("%.*f %s", digits, x, q.unit))
}

// linkageVS returns the computed flux linkage of the star.
func (m *Magnets) linkageVS() float64 {
	if m.Delta {
		return rotor.StarEquivalent(m.Design.LinkageVS())
	}
	return m.Design.LinkageVS()
}

func (m *Magnets) field() []quantity {
	d := m.Design
	q := []quantity{
		{"remanence_t", "remanence", d.Magnet.RemanenceT, 1, "T"},
		{"magnet_arc", "magnet width, share of the pole", d.Pole.HalfRad * 2 / math.Pi, 1, ""},
	}
	return append(append(q, m.gap()...),
		quantity{"carter", "Carter's coefficient of the slots", d.Carter(), 1, ""},
		quantity{"gap_field_t", "field before the magnet's middle", d.GapT(0), 1, "T"},
		quantity{"gap_fundamental_t", "its fundamental, peak", d.HarmonicT(1), 1, "T"},
		quantity{"pole_flux_wb", "flux of a pole", d.PoleFluxWb(), 1e3, "mWb"},
		quantity{"winding_factor", "winding factor", d.WindingFactor, 1, ""},
		quantity{"series_turns", "turns in series of a phase", d.Turns, 1, ""},
		quantity{"phase_flux_linkage_vs", "flux linkage of a phase, peak", d.LinkageVS(), 1e3, "mV s"},
		quantity{"gap_sensitivity_per_m", "change for 0.1 mm more gap", d.GapSensitivity(), 0.01, "%"},
	)
}

// gap returns the gap, and for blocks where it is how wide.
func (m *Magnets) gap() []quantity {
	p := m.Design.Pole
	if m.Blocks == nil {
		return []quantity{{"gap_m", "gap", p.GapM(0), 1e3, "mm"}}
	}
	middle, edge := m.Blocks.Clearance()
	return []quantity{
		{"clearance_middle_m", "clearance in the blocks' middle", middle, 1e3, "mm"},
		{"clearance_edge_m", "clearance at the blocks' edges", edge, 1e3, "mm"},
		{"gap_middle_m", "with glue below, in the middle", p.GapM(0), 1e3, "mm"},
		{"gap_edge_m", "with glue below, at the edges", p.GapM(p.HalfRad), 1e3, "mm"},
	}
}

func (m *Magnets) constants() []quantity {
	k := rotor.NewConstants(m.linkageVS(), m.Design.PolePairs)
	return []quantity{
		{"flux_linkage_vs", "flux linkage, star phase, peak", m.linkageVS(), 1e3, "mV s"},
		{"ke_phase_peak_vs_per_rad", "Ke, star phase, peak", k.KePhasePeak, 1e3, "mV s/rad"},
		{"ke_line_peak_vs_per_rad", "Ke, lead to lead, peak", k.KeLinePeak, 1e3, "mV s/rad"},
		{"ke_line_rms_vs_per_rad", "Ke, lead to lead, rms", k.KeLineRMS, 1e3, "mV s/rad"},
		{"kv_line_peak_rpm_per_v", "Kv, of the peak lead to lead", k.KvLinePeak, 1, "rpm/V"},
		{"kv_six_step_rpm_per_v", "Kv, of DC volts, six-step, no load", k.KvSixStep, 1, "rpm/V"},
		{"kt_six_step_nm_per_a", "Kt, of DC amperes, six-step", k.KtSixStep, 1e3, "mN m/A"},
		{"kt_sine_peak_nm_per_a", "Kt, of peak amperes, sine drive", k.KtSinePeak, 1e3, "mN m/A"},
		{"kt_sine_rms_nm_per_a", "Kt, of rms amperes, sine drive", k.KtSineRMS, 1e3, "mN m/A"},
	}
}

// resistance is empty where the wire is not known.
func (m *Magnets) resistance() []quantity {
	if m.Wire == nil {
		return nil
	}
	ohm := m.Wire.Ohm(m.Celsius)
	three := [3]float64{ohm, ohm, ohm}
	line := winding.StarLines(three)[0]
	if m.Delta {
		line = winding.DeltaLines(three)[0]
	}
	return []quantity{
		{"wire_diameter_m", "a strand's diameter, copper", m.Wire.Wire.DiameterM, 1e3, "mm"},
		{"copper_area_m2", "copper of one turn", m.Wire.AreaM2(), 1e6, "mm2"},
		{"phase_resistance_ohm", "resistance of a phase", ohm, 1e3, "mohm"},
		{"line_resistance_ohm", "resistance lead to lead", line, 1e3, "mohm"},
	}
}

func (m *Magnets) sheet() sheet {
	var s sheet
	s.para(m.headline())
	s.table("The field", []string{"", ""}, quantityRows(m.field()))
	s.table(m.constantsTitle(), []string{"", ""}, quantityRows(m.constants()))
	if m.Wire != nil {
		s.table(fmt.Sprintf("The wire, at %.4g degrees Celsius; stretched while winding, and with its ends, some percent more", m.Celsius), []string{"", ""}, quantityRows(m.resistance()))
	}
	s.list("", append(m.Notes, "the formula knows no leakage and no saturation; on a carefully described motor it has been right within 1 %, on a small cheap one 35 % too high; comparing phases, poles or rotors by measurement is far sharper"))
	return s
}

func (m *Magnets) constantsTitle() string {
	connection := "star"
	if m.Delta {
		connection = "delta, given as the star that equals it at the leads"
	}
	return fmt.Sprintf("Constants by their conventions, for a sinusoidal back-EMF (%s)", connection)
}

// headline says what to expect, and how a measured value stands to it.
func (m *Magnets) headline() string {
	computed := m.linkageVS()
	low, high := rotor.LowestShare*computed, rotor.HighestShare*computed
	expect := fmt.Sprintf("Expect a flux linkage of %s to %s mV s, star phase, peak; %s by the formula.",
		digits3(low*1e3), digits3(high*1e3), digits3(computed*1e3))
	if math.IsNaN(m.MeasuredVS) {
		return expect
	}
	share, within := m.share()
	verdict := "within what such a formula can tell. So nothing speaks against magnets and gap"
	switch {
	case within:
	case share < 1:
		verdict = "less than the formula's errors explain: weak or hot magnets, a wider gap, fewer turns, or a size given wrong"
	default:
		verdict = "more than the formula's errors explain: a better grade, a narrower gap, more turns, or a size given wrong"
	}
	return fmt.Sprintf("Measured %s mV s, %s of the %s by the formula: %s.", digits3(m.MeasuredVS*1e3), percent(share), digits3(computed*1e3), verdict)
}

// share returns the measured flux linkage relative to the computed one.
func (m *Magnets) share() (share float64, within bool) {
	phase := m.MeasuredVS
	if m.Delta {
		phase *= math.Sqrt(3)
	}
	return m.Design.Expected(phase)
}

func digits3(x float64) string { return fmt.Sprintf("%.3g", x) }

func quantityRows(all []quantity) [][]string {
	var rows [][]string
	for _, q := range all {
		rows = append(rows, []string{q.words, q.text()})
	}
	return rows
}

// MagnetsText prints m for a terminal.
func MagnetsText(w io.Writer, m *Magnets) error { return m.sheet().text(w) }

// MagnetsMarkdown prints m as Markdown.
func MagnetsMarkdown(w io.Writer, m *Magnets) error { return m.sheet().markdown(w) }

// all returns every quantity, with the limits and the measured one.
func (m *Magnets) all() []quantity {
	q := append(m.field(), m.constants()...)
	q = append(q, m.resistance()...)
	q = append(q,
		quantity{"flux_linkage_low_vs", "", rotor.LowestShare * m.linkageVS(), 1, ""},
		quantity{"flux_linkage_high_vs", "", rotor.HighestShare * m.linkageVS(), 1, ""})
	if !math.IsNaN(m.MeasuredVS) {
		share, _ := m.share()
		q = append(q, quantity{"measured_flux_linkage_vs", "", m.MeasuredVS, 1, ""}, quantity{"measured_share", "", share, 1, ""})
	}
	return q
}

// MagnetsCSV prints one quantity per row, in SI units.
func MagnetsCSV(w io.Writer, m *Magnets) error {
	c := csv.NewWriter(w)
	c.Write([]string{"quantity", "value"})
	for _, q := range m.all() {
		c.Write([]string{q.key, fmt.Sprintf("%.6g", q.value)})
	}
	c.Flush()
	return c.Error()
}

// MagnetsJSON prints m as one JSON document, in SI units.
func MagnetsJSON(w io.Writer, m *Magnets) error {
	d := struct {
		Schema     string              `json:"schema"`
		Connection string              `json:"connection"`
		Values     map[string]*float64 `json:"values"`
		Expected   *bool               `json:"measured_as_expected,omitempty"`
		Notes      []string            `json:"notes"`
	}{"handspin.magnets/1", "star", map[string]*float64{}, nil, append([]string{}, m.Notes...)}
	if m.Delta {
		d.Connection = "delta"
	}
	for _, q := range m.all() {
		d.Values[q.key] = significant(q.value)
	}
	if !math.IsNaN(m.MeasuredVS) {
		_, within := m.share()
		d.Expected = &within
	}
	return writeJSON(w, d)
}
