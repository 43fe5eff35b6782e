package present

import (
	"fmt"
	"io"
	"strings"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/trial"
)

// Next is what to try next and what is known of the controller.
type Next struct {
	// Recording has the names of the leads.
	Recording *capture.Recording
	Advice    trial.Advice
	// Trials are those made so far, Logged the file that keeps them, if any.
	Trials []trial.Trial
	Logged string
}

// nextCautions are those that trials of unknown wirings need beside the usual.
var nextCautions = []string{
	"a wrong wiring stalls or runs hot: end each trial within a second, and feel motor and controller before the next",
	"set the supply's limit to a few amperes, no more than the motor needs to turn without load",
	"whatever is connected to the axle may be thrown either way",
}

// outcomeWords say what each outcome looks like.
var outcomeWords = [][2]string{
	{"clean-forward, clean-reverse", "starts by itself, smooth, little current"},
	{"weak-forward, weak-reverse", "turns, but rough, loud, hot or on much current"},
	{"stall", "kicks, jerks, locks or does not start"},
	{"fault", "nothing is driven, or the controller complains"},
	{"unsure", "counts for nothing"},
}

// NextText prints n for a terminal.
func NextText(w io.Writer, n *Next) error {
	p := &page{}
	a := n.Advice
	switch {
	case a.Left == 0:
		p.unserved(n)
	case a.Solved:
		p.solved(n)
	default:
		p.attempt(n)
	}
	for _, m := range a.Misfits {
		if a.Unserved > suspicious {
			break // the table that they do not fit is not the controller's
		}
		p.gap()
		p.para(fmt.Sprintf("One answer does not fit the likeliest table: %s should have been %s, not %s. Look again if you can.",
			m.Trial.Wiring.Short(), m.Does, m.Trial.Outcome))
	}
	if a.Left > 0 {
		p.gap()
		p.para("At each power-up")
		for _, text := range append(nextCautions, cautionWords...) {
			p.item("  - ", text+".")
		}
	}
	return p.flush(w)
}

// attempt adds the wiring to try and how to tell what it did.
func (p *page) attempt(n *Next) {
	a := n.Advice
	if a.Unserved > suspicious {
		p.para(spacingSuspicion(n))
		p.gap()
	}
	p.para("Try this wiring next; change leads with the power off:")
	p.connect(n)
	p.para(fmt.Sprintf("It runs clean forward with a chance of %s. %s left; to a clean forward run it takes %.1f more %s on average and %d at most, if the answers are right.",
		percent(a.Chance), count(a.Left, "drive table is", "drive tables are"), a.Expected, verb(a.Worst, "trial", "trials"), a.Worst))
	p.gap()
	p.para("Pulse the throttle gently, then run the same command again and add what the motor did, in place of WORD:")
	p.line("  ", "--tried "+a.Try.Short()+"=WORD")
	var rows [][]string
	for _, words := range outcomeWords {
		rows = append(rows, words[:])
	}
	for _, line := range aligned(rows) {
		p.line("  ", line)
	}
	p.para("A measured no-load current or speed helps: =WORD,4.2A,900rpm. Forward is the way the rotor was turned in the recording.")
	if n.Logged == "" && len(n.Trials) > 0 {
		p.para("Give the earlier trials again as well, or let --log FILE keep them.")
	}
}

// connect adds the wiring lead by lead, and what to exchange to get there.
func (p *page) connect(n *Next) {
	p.leads(n.names().ends(n.Advice.Try))
	if len(n.Trials) == 0 {
		return
	}
	swaps := commutation.Swaps(n.Trials[len(n.Trials)-1].Wiring, n.Advice.Try)
	if len(swaps) == 0 {
		p.item("  ", "as in the last trial: nothing to change.")
		return
	}
	p.item("  ", "from the last trial: "+swapWords(swaps)+".")
}

// swapWords tells a person to carry out exchanges.
func swapWords(swaps []commutation.Swap) string {
	var words []string
	for _, s := range swaps {
		words = append(words, "exchange the leads at "+s.String())
	}
	return strings.Join(words, ", then ")
}

// solved adds the wiring to keep and the controller's table.
func (p *page) solved(n *Next) {
	a := n.Advice
	if a.Expected > 0 {
		p.para("The readings fit one drive table only. Connect this wiring, with the power off, and try it gently:")
	} else {
		p.para(fmt.Sprintf("Solved, %s sure: this wiring runs the motor cleanly forward. Keep it:", percentSure(a.Chance)))
	}
	p.connect(n)
	if a.Expected == 0 && a.Chance < 0.95 {
		p.para(doubtWords)
	}
	p.gap()
	p.para(fmt.Sprintf("The controller's drive table, %s sure (class %v%s), for the next motor; --format csv prints it for rank --controller:",
		percentSure(a.Confidence), a.Class, alias(a.Table)))
	p.table(plainTable, []string{"HU HV HW", "high", "low"}, tableRows(a.Table))
}

const doubtWords = "A weak wiring passes for a clean one at times. If it growls, warms up or draws much current after all, " +
	"answer for the same wiring again, and the search goes on."

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

// unserved says that the controller's table is one that no wiring serves.
func (p *page) unserved(n *Next) {
	p.para(fmt.Sprintf("No wiring runs this motor cleanly from the table that fits best (%s apart, class %v). "+
		"Set the controller to the motor's spacing if it can be. Otherwise save the table below as a CSV file (--format csv): "+
		"rank with --controller names the Hall lead to invert.", degrees(n.Advice.Class.SpacingDeg), n.Advice.Class))
	p.table(plainTable, []string{"HU HV HW", "high", "low"}, tableRows(n.Advice.Table))
}

func degrees(n int) string { return fmt.Sprintf("sensors %d degrees", n) }

// suspicious is how probable it has to be that no wiring would do before it is
// said: more than any weights alone make it.
const suspicious = 0.7

// spacingSuspicion says that the controller may be for sensors placed otherwise.
func spacingSuspicion(n *Next) string {
	return fmt.Sprintf("It looks (%s) as if no wiring would do: the controller seems to be made for sensors spaced otherwise than this motor's. "+
		"See whether it can be set to 60 or 120 degrees. If it cannot, rank with --controller typical-60 or typical names the Hall lead to invert.",
		percent(n.Advice.Unserved))
}

// count puts a number before the words for one or many.
func count(n int, one, many string) string { return fmt.Sprintf("%d %s", n, verb(n, one, many)) }

// names gives access to the leads' names.
func (n *Next) names() *Answer { return &Answer{Recording: n.Recording} }

// NextCSV prints the likeliest drive table in the form that --controller reads.
func NextCSV(w io.Writer, n *Next) error {
	p := &page{}
	p.b.WriteString(fmt.Sprintf("# the controller's drive table, %s sure\n", percentSure(n.Advice.Confidence)))
	p.driveTableCSV(n.Advice.Table)
	return p.flush(w)
}

// driveTableCSV adds a drive table as CSV.
func (p *page) driveTableCSV(t commutation.DriveTable) {
	p.b.WriteString("state,high,low\n")
	for _, row := range tableRows(t) {
		p.b.WriteString(strings.Join(row, ",") + "\n")
	}
}
