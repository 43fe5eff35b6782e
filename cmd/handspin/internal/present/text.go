package present

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"handspin/commutation"
)

// Text prints a for a terminal, the answer first. With all it lists every wiring.
func Text(w io.Writer, a *Answer, all bool) error {
	p := &page{}
	p.verdict(a)
	p.wirings(a)
	if all {
		p.everyWiring(a)
	}
	p.driveTable(a)
	p.recording(a)
	p.sketch(a)
	p.sensors(a)
	if !a.AtRest {
		p.phases(a)
	}
	p.findings(a)
	p.limits()
	if len(a.Ranking.Clean()) > 0 && a.Verdict != commutation.MoreData {
		p.cautions()
	}
	return p.flush(w)
}

func (p *page) verdict(a *Answer) {
	sentence, todo := a.headline()
	p.b.WriteString(a.Screen.paint(bold+";"+verdictColors[a.Verdict], wrap("", "", sentence)))
	if todo != "" {
		p.item("To do: ", todo+".")
	}
}

// wirings adds the clean wirings, or says why there are none.
func (p *page) wirings(a *Answer) {
	p.gap()
	clean := a.Ranking.Clean()
	if len(clean) == 0 || a.Verdict == commutation.MoreData {
		p.para(noList(a))
		return
	}
	p.para(firstTitle(a))
	p.first(a, clean[0])
	p.others(a, equallyTitle, clean[0], commutation.CleanForward)
	p.others(a, reverseTitle, clean[0], commutation.CleanReverse)
	if trap := a.trap(); trap != "" {
		p.gap()
		p.para(trap)
		p.para(a.reversing())
	}
}

// first adds the wiring to connect first, lead by lead.
func (p *page) first(a *Answer, j commutation.Judged) {
	p.leads(a, j.Wiring)
	p.item("  ", a.behaviourWords(j)+".")
}

// leads adds which lead goes to which terminal.
func (p *page) leads(a *Answer, w commutation.Wiring) {
	p.table(plainTable, leadsHeader, a.leadRows(w))
}

var leadsHeader = []string{"controller", "motor lead", "", "controller", "motor lead"}

// leadRows lists which lead goes to which terminal. Where the person's names make
// it too wide it goes by p1 to h3.
func (a *Answer) leadRows(w commutation.Wiring) [][]string {
	rows := leadRows(a.ends(w))
	if text, err := plainTable(leadsHeader, rows); err == nil && widest(text) > columns {
		return leadRows(keys(w))
	}
	return rows
}

func leadRows(ends [6]string) [][]string {
	var rows [][]string
	for i := range 3 {
		rows = append(rows, []string{terminals[i], ends[i], "", terminals[3+i], ends[3+i]})
	}
	return rows
}

// others adds the wirings of one behaviour but the first wiring, one on a line.
func (p *page) others(a *Answer, title string, first commutation.Judged, b commutation.Behaviour) {
	rows := a.otherRows(first, b)
	if len(rows) == 0 {
		return
	}
	p.gap()
	p.para(title)
	for _, line := range aligned(rows) {
		p.line("  ", line)
	}
}

// otherRows has what is at each terminal for the wirings of one behaviour but the
// first wiring.
func (a *Answer) otherRows(first commutation.Judged, b commutation.Behaviour) (rows [][]string) {
	for _, j := range a.having(b) {
		if j.Rank == first.Rank {
			continue
		}
		var row []string
		for i, end := range a.ends(j.Wiring) {
			row = append(row, terminals[i]+" "+end)
		}
		rows = append(rows, row)
	}
	return rows
}

// everyWiring adds the whole list. Where the person's names make it too wide it
// goes by p1 to h3.
func (p *page) everyWiring(a *Answer) {
	if len(a.Ranking.Wirings) == 0 {
		return
	}
	p.gap()
	p.para(everyTitle(a))
	text, err := plainTable(listHeader, a.listRows(a.ends))
	if err == nil && widest(text) > columns {
		text, err = plainTable(listHeader, a.listRows(keys))
	}
	p.table(func([]string, [][]string) (string, error) { return text, err }, nil, nil)
}

var listHeader = []string{"", "U", "V", "W", "HU", "HV", "HW", "behaviour", "torque", "lowest"}

func (a *Answer) listRows(ends func(commutation.Wiring) [6]string) [][]string {
	var rows [][]string
	for _, j := range a.Ranking.Wirings {
		e := ends(j.Wiring)
		row := append([]string{fmt.Sprint(j.Rank)}, e[:]...)
		rows = append(rows, append(row, string(j.Behaviour), fixed(100*j.Torque, 0), fixed(100*j.TorqueMin, 0)))
	}
	return rows
}

// keys returns the leads at U V W HU HV HW as the recording format names them.
func keys(w commutation.Wiring) [6]string {
	var out [6]string
	for i := range 3 {
		out[i], out[3+i] = phaseKey(w.Phase[i]), hallKey(w.Hall[i])
		if w.Invert[w.Hall[i]] {
			out[3+i] = "not " + out[3+i]
		}
	}
	return out
}

// driveTable says what the list stands on.
func (p *page) driveTable(a *Answer) {
	if len(a.Ranking.Wirings) == 0 {
		return
	}
	p.gap()
	for _, text := range driveTableWords(a) {
		p.para(text)
	}
}

func (p *page) recording(a *Answer) {
	p.gap()
	p.para(recordingWords(a))
	for _, note := range a.Recording.Notes {
		p.item("  - ", Clean(note)+".")
	}
	if len(a.Recording.Damage) > 0 {
		p.item("  - ", "first damaged row: "+Clean(a.Recording.Damage[0].Error())+".")
	}
}

// findings adds what the headline has not said.
func (p *page) findings(a *Answer) {
	all := a.unsaid()
	if len(all) == 0 {
		return
	}
	p.gap()
	p.para("Findings")
	for _, f := range all {
		p.item("  - ", string(f.Severity)+": "+a.findingWords(f)+".")
	}
}

// unsaid returns the findings but that which the headline says.
func (a *Answer) unsaid() []commutation.Finding {
	all := a.findings()
	if said := a.reasons(); len(said) > 0 {
		i := slices.Index(all, said[0])
		all = slices.Delete(all, i, i+1)
	}
	return all
}

// limits says what no hand spin tells.
func (p *page) limits() {
	p.gap()
	p.para(limitsWords)
}

func (p *page) cautions() {
	p.gap()
	p.para("At the first power-up")
	for _, text := range cautionWords {
		p.item("  - ", text+".")
	}
}

// aligned pads the cells of each column to one width.
func aligned(rows [][]string) []string {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], widest(cell))
		}
	}
	var lines []string
	for _, row := range rows {
		var b strings.Builder
		for i, cell := range row {
			b.WriteString(cell + strings.Repeat(" ", widths[i]-widest(cell)+2))
		}
		lines = append(lines, strings.TrimRight(b.String(), " "))
	}
	return lines
}
