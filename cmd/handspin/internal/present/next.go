package present

import (
	"fmt"
	"io"
	"slices"
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
	// Trials are those made so far. Repeated counts those at the end of the log
	// that were given once more and are taken for the same.
	Trials   []trial.Trial
	Repeated int
	// Command is what to run next, as words of a shell, up to the next trial.
	// With Logged it reads the trials so far from a log.
	Command []string
	Logged  bool
}

// nextCautions are those that trials of unknown wirings need beside the usual.
var nextCautions = []string{
	"a wrong wiring stalls or runs hot: end each trial within a second, and feel motor and controller before the next",
	"set the supply's limit to a few amperes, no more than the motor needs to turn without load",
	"whatever is connected to the axle may be thrown either way",
}

// outcomeWords say what each outcome looks like.
var outcomeWords = [][]string{
	{"clean-forward, clean-reverse", "starts by itself, smooth, little current"},
	{"weak-forward, weak-reverse", "turns, but rough, loud, hot or on much current"},
	{"stall", "hums, kicks, jerks, locks or does not start"},
	{"fault", "nothing is driven, or the controller complains"},
	{"unsure", "counts for nothing"},
}

// NextText prints n for a terminal.
func NextText(w io.Writer, n *Next) error { return n.sheet().text(w) }

// NextMarkdown prints n as Markdown.
func NextMarkdown(w io.Writer, n *Next) error { return n.sheet().markdown(w) }

func (n *Next) sheet() sheet {
	var s sheet
	a := n.Advice
	switch {
	case a.Left == 0:
		n.over(&s)
	case a.Solved:
		n.solved(&s)
	default:
		n.attempt(&s)
	}
	if n.Repeated > 0 {
		s.para(fmt.Sprintf("%s given again, as at the end of the log: counted once, and not added. If you did try again, add --again.",
			count(n.Repeated, "trial is", "trials are")))
	}
	if a.Left > 0 {
		s.list("", n.contradictions())
		s.list("At each power-up", slices.Concat(nextCautions, cautionWords))
	}
	return s
}

// contradictions names answers and readings that do not fit the likeliest table.
func (n *Next) contradictions() []string {
	var out []string
	for _, m := range n.Advice.Misfits {
		out = append(out, fmt.Sprintf("one answer does not fit the likeliest table: %s should have been %s, not %s; look again if you can",
			m.Trial.Wiring.Short(), m.Does, m.Trial.Outcome))
	}
	for _, r := range n.Advice.Misread {
		out = append(out, fmt.Sprintf("one reading does not fit the likeliest table: %v; measure it again if you can", r))
	}
	return out
}

// attempt adds the wiring to try and how to tell what it did.
func (n *Next) attempt(s *sheet) {
	a := n.Advice
	if a.Unserved > probable {
		s.para(fmt.Sprintf("First see whether the controller can be set to 60 or 120 degrees: with a probability of %s no wiring would do, "+
			"because it is made for sensors spaced otherwise than this motor's. If it cannot be set, %s.", percent(a.Unserved), invertWords))
	}
	s.table("Try this wiring next; change leads with the power off:", leadsHeader, n.names().leadRows(a.Try))
	s.para(n.way())
	words := fmt.Sprintf("It runs clean forward with a chance of %s. %s left that can run the motor; with one of these it takes %.1f more %s on average and %d at most to a clean forward run, if the answers are right.",
		percent(a.Chance), count(a.Left, "drive table is", "drive tables are"), a.Expected, verb(a.Worst, "trial", "trials"), a.Worst)
	if a.Unserved >= worthSaying && a.Unserved <= probable {
		words += fmt.Sprintf(" With a probability of %s the controller is made for sensors spaced otherwise, and no wiring would do; two faults would show that.", percent(a.Unserved))
	}
	s.para(words)
	n.answering(s)
}

const (
	// worthSaying is how probable it has to be that no wiring would do before it
	// is said, and probable before it goes first: the weights and one stall make
	// it little more than a half where the motor is of the commoner spacing.
	worthSaying = 0.3
	probable    = 0.6
)

const invertWords = "rank with --controller typical or typical-60, or with the controller's own table, names the Hall lead to invert"

// answering says how to tell what the motor did.
func (n *Next) answering(s *sheet) {
	s.command("Pulse the throttle gently, then run this, with what the motor did in place of WORD:", n.telling(n.Advice.Try))
	s.table("", []string{"", ""}, outcomeWords)
	s.para("A measured no-load current or speed helps: =WORD,4.2A,900rpm. Forward is the way the rotor was turned in the recording.")
}

// telling returns the command that tells what a wiring did.
func (n *Next) telling(w commutation.Wiring) []string {
	words := slices.Clone(n.Command)
	if last, ok := n.last(); ok && n.Logged && last.Wiring == w {
		words = append(words, "--again")
	}
	return append(words, "--tried", w.Short()+"=WORD")
}

func (n *Next) last() (trial.Trial, bool) {
	if len(n.Trials) == 0 {
		return trial.Trial{}, false
	}
	return n.Trials[len(n.Trials)-1], true
}

// way says what to exchange to get to the wiring to try, and why if it is not
// a new one.
func (n *Next) way() string {
	last, ok := n.last()
	if !ok {
		return ""
	}
	words := "As in the last trial: nothing to change."
	if swaps := commutation.Swaps(last.Wiring, n.Advice.Try); len(swaps) > 0 {
		words = "From the last trial: " + swapWords(swaps) + "."
	}
	if n.Advice.Proven {
		return words
	}
	return strings.TrimSpace(words + " " + n.again())
}

// again says why a wiring is to be tried once more.
func (n *Next) again() string {
	tried, clear := false, false
	for _, t := range n.Trials {
		if t.Wiring == n.Advice.Try {
			tried, clear = true, clear || t.Outcome != trial.Unsure
		}
	}
	switch {
	case !tried:
		return ""
	case !clear:
		return "It was tried already, but nobody could tell what it did."
	}
	return "It was tried already, but that answer and the others do not go together well: look at it again."
}

// swapWords tells a person to carry out exchanges.
func swapWords(swaps []commutation.Swap) string {
	var words []string
	for _, s := range swaps {
		words = append(words, "exchange the leads at "+s.String())
	}
	return strings.Join(words, ", then ")
}

// solved adds the wiring where the search is over, and what is known of the
// controller's table.
func (n *Next) solved(s *sheet) {
	a := n.Advice
	title := fmt.Sprintf("Solved, %s sure: this wiring runs the motor cleanly forward. Keep it:", percentSure(a.Chance))
	switch {
	case !a.Proven:
		title = fmt.Sprintf("The readings fit one drive table only. By that this wiring runs the motor cleanly forward, %s sure; connect it with the power off, and try it gently:",
			percentSure(a.Chance))
	case a.Chance < trial.Sure:
		title = fmt.Sprintf("Probably found, %s sure: this wiring seems to run the motor cleanly forward. An answer can be mistaken, for a weak wiring passes for a clean one at times, without load above all; check before you rely on it:",
			percentSure(a.Chance))
	}
	s.table(title, leadsHeader, n.names().leadRows(a.Try))
	s.para(n.way())
	if a.Proven && n.calledWeak(a.Try) {
		s.para("You called it weak. Of all your answers only the directions go together, and by them no other wiring is the clean one: if it stays rough, look at the motor with handspin inspect.")
	}
	switch {
	case !a.Proven:
		n.answering(s)
	case a.Chance < trial.Sure:
		n.check(s)
	}
	n.controller(s)
}

// calledWeak reports whether the last answer about a wiring was that it runs weakly.
func (n *Next) calledWeak(w commutation.Wiring) bool {
	weak := false
	for _, t := range n.Trials {
		if t.Wiring == w {
			weak = t.Outcome == commutation.WeakForward
		}
	}
	return weak
}

// check says how to find out whether the wiring that seems right is so.
func (n *Next) check(s *sheet) {
	a := n.Advice
	how := "To check, run it once more, longer."
	if last, ok := n.last(); ok && a.Check != last.Wiring {
		how = "To check, power off, " + swapWords(commutation.Swaps(last.Wiring, a.Check)) + ", and compare."
	}
	s.command(fmt.Sprintf("%s If this one is right, %s %s. Then run this, with what it did in place of WORD:",
		how, a.Check.Short(), checkWords[a.CheckDoes]), n.telling(a.Check))
	s.table("", []string{"", ""}, outcomeWords)
}

// checkWords say what the wiring that checks another should do.
var checkWords = map[commutation.Behaviour]string{
	commutation.CleanForward: "runs forward as smoothly",
	commutation.CleanReverse: "runs as smoothly in reverse",
	commutation.WeakForward:  "turns forward, too, but rough and on some three times the current",
	commutation.WeakReverse:  "turns in reverse, rough and on some three times the current",
	commutation.Stall:        "does not turn, or kicks and locks",
	commutation.Fault:        "is driven by nothing",
}

// over says that no wiring is worth a trial, and what that may mean.
func (n *Next) over(s *sheet) {
	a := n.Advice
	s.para(fmt.Sprintf("Stop trying: with a probability of %s no wiring of this motor runs cleanly from this controller.", percentSure(a.Unserved)))
	s.list("That can mean", []string{
		fmt.Sprintf("the controller is made for sensors spaced otherwise than this motor's (%s): set it to 60 or 120 degrees if it can be; otherwise %s",
			percent(a.Unserved-a.NoTable), invertWords),
		fmt.Sprintf("a Hall lead is cut, without supply or inverted on its way, or the controller is faulty or has a table of its own (%s): measure the Hall inputs at the plug while you turn the rotor, and read the controller with --seen",
			percent(a.NoTable)),
		"an answer or a reading was mistaken",
	})
	for _, m := range a.Misfits {
		s.command(fmt.Sprintf("To repeat: %s, which was answered with %s; %s would fit a controller that suits the motor. Try it again, then run this:",
			m.Trial.Wiring.Short(), m.Trial.Outcome, m.Does), n.repeating(m.Trial.Wiring))
	}
	for _, r := range a.Misread {
		s.para(fmt.Sprintf("To measure again: %v, which no controller that suits the motor and the other readings drives.", r))
	}
	n.controller(s)
}

// repeating returns the command that tells again what a wiring did.
func (n *Next) repeating(w commutation.Wiring) []string {
	words := slices.Clone(n.Command)
	if n.Logged {
		words = append(words, "--again")
	}
	return append(words, "--tried", w.Short()+"=WORD")
}

// count puts a number before the words for one or many.
func count(n int, one, many string) string { return fmt.Sprintf("%d %s", n, verb(n, one, many)) }

// names gives access to the leads' names.
func (n *Next) names() *Answer { return &Answer{Recording: n.Recording} }
