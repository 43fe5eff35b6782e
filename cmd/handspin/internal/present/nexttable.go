package present

import (
	"fmt"
	"io"
	"strings"

	"handspin/commutation"
	"handspin/commutation/trial"
)

// Known reports whether the controller's table is certain, the search being over,
// so that [NextCSV] has one to print.
func (n *Next) Known() bool {
	a := n.Advice
	return (a.Solved || a.Left == 0) && len(a.Tables) > 0 && a.Tables[0].Probability >= trial.Sure
}

// controller adds the controller's table, or those that it may be.
func (n *Next) controller(s *sheet) {
	a := n.Advice
	if n.Known() {
		t := a.Tables[0]
		s.table(fmt.Sprintf("The controller's drive table, %s sure (class %v%s), for the next motor; --format csv prints it for rank --controller:",
			percentSure(t.Probability), t.Class, alias(t.Table)), []string{"HU HV HW", "high", "low"}, tableRows(t.Table))
		return
	}
	if len(a.Tables) == 0 {
		return
	}
	header := []string{"class", "probability", ""}
	if a.Differ {
		header[2] = "at " + a.Telling.String()
	}
	var rows [][]string
	for _, t := range a.Tables[:min(len(a.Tables), mostTables)] {
		row := []string{t.Class.String(), percent(t.Probability), ""}
		if d, ok := t.Table.At(a.Telling); ok {
			row[2] = fmt.Sprintf("%v+ %v-", d.High, d.Low)
		} else if a.Differ {
			row[2] = "nothing"
		}
		rows = append(rows, row)
	}
	s.table("The controller's drive table is not known for sure. It may be of these classes, each named by the spacing of the sensors that it is for, by how many degrees HU rises after U's back-EMF, and opposite where HU HV HW follow the other way round than U V W:", header, rows)
	if a.Differ {
		s.para(fmt.Sprintf("What the controller drives at state %v of HU HV HW tells most about them: measure it as handspin next --help says, and give it with --seen %v=U+V-, say.",
			a.Telling, a.Telling))
	}
}

// mostTables is how many are listed.
const mostTables = 8

// tableRows lists a drive table, state by state.
func tableRows(t commutation.DriveTable) [][]string {
	var rows [][]string
	for s := range commutation.State(8) {
		if d, ok := t.At(s); ok {
			rows = append(rows, []string{s.String(), d.High.String(), d.Low.String()})
		}
	}
	return rows
}

// alias names the built-in table that t is.
func alias(t commutation.DriveTable) string {
	for _, name := range []string{"typical", "typical-60"} {
		if b, ok := commutation.Builtin(name); ok && sameDrives(b, t) {
			return ", the built-in " + name
		}
	}
	return ""
}

func sameDrives(a, b commutation.DriveTable) bool {
	a.Name, b.Name = "", ""
	return a == b
}

// NextCSV prints the controller's drive table, which has to be known, in the form
// that --controller reads.
func NextCSV(w io.Writer, n *Next) error {
	p := &page{}
	t := n.Advice.Tables[0]
	p.b.WriteString(fmt.Sprintf("# the controller's drive table, %s sure\n", percentSure(t.Probability)))
	p.driveTableCSV(t.Table)
	return p.flush(w)
}

// driveTableCSV adds a drive table as CSV.
func (p *page) driveTableCSV(t commutation.DriveTable) {
	p.b.WriteString("state,high,low\n")
	for _, row := range tableRows(t) {
		p.b.WriteString(strings.Join(row, ",") + "\n")
	}
}
