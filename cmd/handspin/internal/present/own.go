package present

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"handspin/commutation"
)

// Own is a motor's own drive table, by its leads.
type Own struct {
	answer  *Answer
	forward commutation.DriveTable
	// csv is the table that the CSV form has.
	csv commutation.DriveTable
}

// NewOwn returns the drive table of the motor of a, which has to be usable. With
// reverse the CSV form is for that direction.
func NewOwn(a *Answer, reverse bool) *Own {
	o := &Own{answer: a, forward: commutation.OwnTable(a.Spin.Motor)}
	o.csv = o.forward
	if reverse {
		o.csv = o.forward.Reverse()
	}
	return o
}

// rows lists all eight states: what is driven forward and in reverse, by the
// person's names of the leads, or where these make it too wide by p1 to p3.
func (o *Own) rows() [][]string {
	rows := o.rowsBy(o.answer.phaseName)
	if text, err := plainTable(o.header(), rows); err == nil && widest(text) > columns {
		return o.rowsBy(phaseKey)
	}
	return rows
}

func (o *Own) rowsBy(name func(int) string) [][]string {
	var rows [][]string
	for s := range commutation.State(8) {
		d, ok := o.forward.At(s)
		if !ok {
			rows = append(rows, []string{s.String(), "never seen", "never seen"})
			continue
		}
		high, low := name(int(d.High)), name(int(d.Low))
		rows = append(rows, []string{s.String(), high + "+ " + low + "-", low + "+ " + high + "-"})
	}
	return rows
}

// unseen lists the states that the motor never shows.
func (o *Own) unseen() []string {
	out := []string{}
	for s := range commutation.State(8) {
		if _, ok := o.forward.At(s); !ok {
			out = append(out, s.String())
		}
	}
	return out
}

// unseenWords say what to do at those states. 000 and 111 have a meaning of
// their own where they are among them.
func (o *Own) unseenWords() string {
	unseen := o.unseen()
	text := "Never seen: " + strings.Join(unseen, ", ") + ". Switch everything off there and report a sensor fault"
	if slices.Contains(unseen, "000") && slices.Contains(unseen, "111") {
		text += ": a cut or shorted sensor cable reads 000 or 111"
	}
	return text + "."
}

// halls names the Hall leads in the order of the states' digits.
func (o *Own) halls() string {
	return o.answer.hallName(0) + " " + o.answer.hallName(1) + " " + o.answer.hallName(2)
}

func (o *Own) header() []string { return []string{"state", "forward", "reverse"} }

func (o *Own) title() string {
	how := "as measured"
	if o.answer.AtRest {
		how = "by its rest positions, which tell the sensors' places to some 30 degrees only"
	}
	return fmt.Sprintf("Drive table of this motor %s. The digits of a state are %s; the leads %s are driven high by +, low by -, and the third floats.",
		how, o.halls(), strings.Join([]string{o.answer.both("p1"), o.answer.both("p2"), o.answer.both("p3")}, ", "))
}

// limits says what the table stands for.
func (o *Own) limits() string {
	const what = "For each state it is the pair of leads of most torque while the sensors show it; sensors out of place cost torque with any table."
	if o.answer.AtRest {
		return recordingWords(o.answer) + " " + what
	}
	return "Forward is the way the rotor was turned in the recording. " + what
}

// OwnText prints o for a terminal.
func OwnText(w io.Writer, o *Own) error {
	p := &page{}
	p.para(o.title())
	p.gap()
	p.table(plainTable, o.header(), o.rows())
	p.gap()
	p.para(o.unseenWords())
	p.para(o.limits())
	return p.flush(w)
}

// OwnMarkdown prints o as Markdown.
func OwnMarkdown(w io.Writer, o *Own) error {
	p := &page{}
	p.block(escape(o.title()))
	p.table(pipeTable, o.header(), o.rows())
	p.gap()
	p.block(escape(o.unseenWords()))
	p.block(escape(o.limits()))
	return p.flush(w)
}

// OwnCSV prints o in the form that --controller reads, p1 p2 p3 being U V W.
func OwnCSV(w io.Writer, o *Own) error {
	p := &page{}
	p.b.WriteString("# U V W are p1 p2 p3, and HU HV HW are h1 h2 h3\n")
	if o.answer.AtRest {
		p.b.WriteString("# by rest positions: the sensors' places are known to some 30 degrees only\n")
	}
	p.b.WriteString("# " + o.unseenWords() + "\n")
	p.driveTableCSV(o.csv)
	return p.flush(w)
}

// OwnC prints o as two C arrays.
func OwnC(w io.Writer, o *Own) error {
	p := &page{}
	name := strings.ReplaceAll(Clean(o.answer.Recording.Name), "*/", "* /")
	if o.answer.AtRest {
		name += ",\n   by rest positions: the sensors' places are known to some 30 degrees only"
	}
	p.b.WriteString("/* Six-step drive of the motor in " + name + ".\n" +
		"   Index: 4 h1 + 2 h2 + h3. Entry: p1, p2, p3, each 1 high, -1 low, 0 off.\n" +
		wrap("   ", "   ", o.unseenWords()+" */"))
	p.array("spin_forward", o.forward)
	p.array("spin_reverse", o.forward.Reverse())
	return p.flush(w)
}

// array adds a table as an array in C.
func (p *page) array(name string, t commutation.DriveTable) {
	p.b.WriteString("static const signed char " + name + "[8][3] = {\n")
	for s := range commutation.State(8) {
		entry, words := [3]int{}, " never seen"
		if d, ok := t.At(s); ok {
			entry[d.High], entry[d.Low], words = 1, -1, ""
		}
		fmt.Fprintf(&p.b, "    {%2d, %2d, %2d}, /* %v%s */\n", entry[0], entry[1], entry[2], s, words)
	}
	p.b.WriteString("};\n")
}

type ownDocument struct {
	Schema  string     `json:"schema"`
	File    string     `json:"file"`
	AtRest  bool       `json:"from_rest_positions"`
	Forward *tableJSON `json:"forward"`
	Reverse *tableJSON `json:"reverse"`
	Unseen  []string   `json:"states_never_seen"`
}

// OwnJSON prints o as one JSON document, the leads as p1 p2 p3.
func OwnJSON(w io.Writer, o *Own) error {
	d := ownDocument{
		Schema: "handspin.table/1", File: o.answer.Recording.Name, AtRest: o.answer.AtRest,
		Forward: byLead(o.forward), Reverse: byLead(o.forward.Reverse()), Unseen: o.unseen(),
	}
	return writeJSON(w, d)
}

// byLead returns a table with p1 p2 p3 for U V W.
func byLead(t commutation.DriveTable) *tableJSON {
	out := newTableJSON(t)
	for s := range commutation.State(8) {
		if d, ok := t.At(s); ok {
			out.States[s.String()] = driveJSON{phaseKey(int(d.High)), phaseKey(int(d.Low))}
		}
	}
	return out
}
