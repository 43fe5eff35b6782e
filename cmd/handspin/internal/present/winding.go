package present

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"math/cmplx"
	"slices"
	"strings"

	"handspin/commutation/winding"
)

// Winding is a motor's winding and where its sensors go.
type Winding struct {
	// Layout is the right one: the machine's own, or the nearest to Given.
	Layout winding.Layout
	// Given is the layout that was to be checked, if any, Check what came out.
	Given *winding.Layout
	Check winding.Check
	// SpacingDeg is between the sensors, 120 or 60; Placements are the choices.
	SpacingDeg int
	Placements []winding.Placement
}

// shownPlacements is how many choices are printed: those that follow are wider.
const shownPlacements = 6

// NewWinding returns what is known of a machine's winding; given is the layout to
// check, nil for none.
func NewWinding(m winding.Machine, given *winding.Layout, spacingDeg int) *Winding {
	w := &Winding{Layout: m.Layout(), Given: given, SpacingDeg: spacingDeg}
	if given != nil {
		w.Check = given.Check()
		w.Layout = w.Check.Nearest
	}
	w.Placements = w.Layout.Placements(spacingDeg)
	w.Placements = w.Placements[:min(len(w.Placements), shownPlacements)]
	return w
}

// OK is false where the layout given is not right.
func (w *Winding) OK() bool { return w.Given == nil || w.Check.Right }

// WindingText prints w for a terminal.
func WindingText(out io.Writer, w *Winding) error { return w.sheet().text(out) }

// WindingMarkdown prints w as Markdown.
func WindingMarkdown(out io.Writer, w *Winding) error { return w.sheet().markdown(out) }

// WindingCSV prints the coils tooth by tooth, with the right ones.
func WindingCSV(out io.Writer, w *Winding) error {
	c := csv.NewWriter(out)
	c.Write([]string{"tooth", "phase", "sense", "angle_deg", "right_phase", "right_sense"})
	for k, coil := range w.coils() {
		right := w.Layout.Coils[k]
		c.Write([]string{
			fmt.Sprint(k + 1), coilPhase(coil), fmt.Sprint(coil.Sense), decimals(w.Layout.ToothDeg(k), 3),
			coilPhase(right), fmt.Sprint(right.Sense),
		})
	}
	c.Flush()
	return c.Error()
}

// coilPhase is empty where there is no coil.
func coilPhase(c winding.Coil) string {
	if c.Sense == 0 {
		return ""
	}
	return winding.PhaseName(c.Phase)
}

// coils returns those that were given, or the right ones.
func (w *Winding) coils() []winding.Coil {
	if w.Given != nil {
		return w.Given.Coils
	}
	return w.Layout.Coils
}

func (w *Winding) sheet() sheet {
	var s sheet
	l := w.Layout
	factor := l.Factor(0, 1)
	if w.Given == nil {
		s.para(fmt.Sprintf("%d slots and %d poles can be wound in balance, with a winding factor of %.4f.", l.Slots(), l.Poles(), factor.Winding))
	} else {
		w.verdict(&s)
	}
	s.table(w.coilsTitle(), blanks, append(fold("signs", strings.Fields(l.String()), " "), fold("or letters", strings.Split(l.Letters(), ""), "")...))
	s.table("The winding", blanks, w.facts())
	s.list("", w.remarks())
	w.sensors(&s)
	return s
}

var blanks = []string{"", ""}

func (w *Winding) coilsTitle() string {
	title := "Coils"
	if !w.OK() {
		title = "Nearest right coils"
	}
	return title + ", tooth by tooth; minus signs and small letters are the other sense. While the rotor turns towards higher tooth numbers the phases follow one another as " +
		w.order() + "."
}

// order returns the phases in the order in which they follow one another.
func (w *Winding) order() string {
	if e := w.Layout.EMF(w.Layout); imag(e[1]) < 0 {
		return "A, C, B"
	}
	return "A, B, C"
}

// fold returns rows of two cells: a name on the first, and so many of the words
// in each as fit a line.
func fold(name string, words []string, between string) [][]string {
	most := 66 / (len(words[0]) + len(between))
	var rows [][]string
	for chunk := range slices.Chunk(words, most) {
		rows = append(rows, []string{name, strings.Join(chunk, between)})
		name = ""
	}
	return rows
}

func (w *Winding) facts() [][]string {
	l := w.Layout
	f := l.Factor(0, 1)
	pull := "none: the forces repeat in a turn"
	if l.Pulls() {
		pull = "yes: slots and poles have no common divisor"
	}
	return [][]string{
		{"winding factor", fmt.Sprintf("%.4f = pitch %.4f x distribution %.4f", f.Winding, f.Pitch, f.Distribution)},
		{"of harmonics", fmt.Sprintf("3rd %.3f, 5th %.3f, 7th %.3f", l.Factor(0, 3).Winding, l.Factor(0, 5).Winding, l.Factor(0, 7).Winding)},
		{"coil span", fmt.Sprintf("1 tooth, %.4g electrical degrees of the pole's 180", l.SpanDeg())},
		{"slots per pole and phase", fmt.Sprintf("%.4g", l.SlotsPerPolePhase())},
		{"cogging", fmt.Sprintf("%d times a turn of the shaft", l.CoggingPerTurn())},
		{"sideways pull", pull},
	}
}

func (w *Winding) remarks() []string {
	var out []string
	if !w.Layout.OfTeeth() {
		out = append(out, fmt.Sprintf("a coil of one tooth spans only %.3g of the pole's 180 degrees and links little flux: such machines are wound with coils over several teeth, which is not treated here", w.Layout.SpanDeg()))
	}
	return out
}

// verdict says whether the layout given is right, and where it is not.
func (w *Winding) verdict(s *sheet) {
	c := w.Check
	factor := w.Layout.Factor(0, 1).Winding
	if c.Right {
		s.para(fmt.Sprintf("The layout is right: balanced, with a winding factor of %.4f.", factor))
		return
	}
	state := "its phases are not balanced"
	if c.Balanced {
		state = fmt.Sprintf("it is balanced, but gives only %s of the voltage of the right one", percent(cmplx.Abs(c.EMF[0])))
	}
	s.para(fmt.Sprintf("The layout is wrong: %s. %s", state, w.wrongWords()))
	if len(c.Wrong) > 0 {
		var rows [][]string
		for _, k := range c.Wrong {
			rows = append(rows, []string{fmt.Sprint(k + 1), w.Given.Coils[k].String(), w.Layout.Coils[k].String()})
		}
		s.table("Teeth to change", []string{"tooth", "is", "should be"}, rows)
	}
	var rows [][]string
	for i, e := range c.EMF {
		rows = append(rows, []string{winding.PhaseName(i), percent(cmplx.Abs(e)), w.angle(e), w.rightAngle(i)})
	}
	s.table("Back-EMF that it gives, relative to the right layout", []string{"phase", "size", "lags", "should lag"}, rows)
}

func (w *Winding) wrongWords() string {
	n, ties := len(w.Check.Wrong), w.Check.Ties
	if n == 0 {
		return "Its coils agree with a right layout; the teeth without coil are what makes the phases unequal."
	}
	text := fmt.Sprintf("%s from the nearest right layout.", verb(n, "One tooth differs", fmt.Sprintf("%d teeth differ", n)))
	if ties > 0 {
		text += fmt.Sprintf(" There %s %d other right layouts as near, so see what was meant.", verb(ties, "is", "are"), ties)
	}
	return strings.Replace(text, "1 other right layouts", "1 other right layout", 1)
}

// angle prints by how much a phasor lags, nothing where it is zero.
func (w *Winding) angle(e complex128) string {
	if cmplx.Abs(e) < 0.005 { // 0 percent
		return "-"
	}
	deg := math.Mod(cmplx.Phase(e)*180/math.Pi+360, 360)
	return fixed(math.Mod(round(deg, 1), 360), 1)
}

func (w *Winding) rightAngle(phase int) string { return w.angle(w.Layout.EMF(w.Layout)[phase]) }

// sensors adds where the sensors go.
func (w *Winding) sensors(s *sheet) {
	l := w.Layout
	if len(w.Placements) == 0 {
		s.para(fmt.Sprintf("Sensors %d electrical degrees apart cannot all sit in slot openings of this stator. %s", w.SpacingDeg, w.turnOver()))
	} else {
		var rows [][]string
		for _, p := range w.Placements {
			rows = append(rows, w.placementRow(p))
		}
		s.table(fmt.Sprintf("Sensors %d electrical degrees apart in slot openings, in the order in which they switch; 1|2 is between teeth 1 and 2, angles are mechanical degrees from the middle of tooth 1:", w.SpacingDeg),
			[]string{"first", "second", "third", "span", "remark"}, rows)
	}
	var notes []string
	if len(w.Placements) > 0 {
		notes = append(notes, fmt.Sprintf("moved together by %s they are as good", count(l.TurnBy(), "tooth", "teeth")))
		if off := w.Placements[0].OffDeg; off != 0 {
			notes = append(notes, w.late(off))
		}
	}
	s.list("", append(notes, w.anywhere(), "put sensors where they see the magnets and not the coils' field; a place one pole further is as good with the sensor's output inverted"))
}

// late says what sensors cost that are off by so many electrical degrees.
func (w *Winding) late(offDeg float64) string {
	way := "up"
	if offDeg > 0 {
		way = "down"
	}
	return fmt.Sprintf("no slot opening is right on time; these are %.3g electrical degrees off, which costs %.1f %% of the torque; %.2g mechanical degrees %s the tooth numbers they would be right",
		math.Abs(offDeg), 100*(1-math.Cos(offDeg*math.Pi/180)), math.Abs(offDeg)/float64(w.Layout.PolePairs()), way)
}

// turnOver says how 120 degrees become 60.
func (w *Winding) turnOver() string {
	if w.SpacingDeg != 60 {
		return ""
	}
	return "Put them where they would be 120 degrees apart and turn the third one over, so that it sees south for north; it then is the middle one."
}

// anywhere says where sensors go that are not in slot openings.
func (w *Winding) anywhere() string {
	l := w.Layout
	var apart []string
	for _, deg := range l.Spacings(w.SpacingDeg) {
		if len(apart) < shownPlacements {
			apart = append(apart, fmt.Sprintf("%.4g", round(deg, 2)))
		}
	}
	return fmt.Sprintf("on a board of their own: the first %.4g mechanical degrees from the middle of tooth 1, or any multiple of %.4g from there; three in a row with %s between neighbours",
		round(l.BestDeg(), 2), round(60/float64(l.PolePairs()), 2), orWords(apart))
}

func orWords(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

func (w *Winding) placementRow(p winding.Placement) []string {
	var row []string
	for i, k := range p.Openings {
		row = append(row, fmt.Sprintf("%s at %s", w.Layout.OpeningName(k), fixed(p.MechanicalDeg[i], 1)))
	}
	return append(row, fixed(p.SpanDeg, 1), w.remark(p))
}

// remark says what is convenient about a placement.
func (w *Winding) remark(p winding.Placement) string {
	pitch := 360 / float64(w.Layout.Slots())
	switch {
	case math.Abs(p.SpanDeg-240) < 1e-6 && even(p.MechanicalDeg):
		return "spread evenly"
	case p.SpanDeg < 2.5*pitch:
		return "neighbouring openings"
	case p.SpanDeg <= 120:
		return "one board"
	}
	return ""
}

// even reports whether three angles are 120 degrees apart.
func even(deg [3]float64) bool {
	return math.Abs(math.Abs(math.Remainder(deg[1]-deg[0], 360))-120) < 1e-6 && math.Abs(math.Abs(math.Remainder(deg[2]-deg[1], 360))-120) < 1e-6
}
