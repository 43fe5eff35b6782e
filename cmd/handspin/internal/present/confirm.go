package present

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"handspin/commutation"
)

// Confirmation is what a spin with the probes at the controller's plug proves.
type Confirmation struct {
	answer *Answer
	// Pass is true only if the wiring as connected runs the motor cleanly
	// forward beyond doubt.
	Pass bool
	// is says what the motor does as it is connected; known is false where
	// there is no list.
	is    commutation.Judged
	known bool
	// change leads to the nearest clean forward wiring, if there is one.
	change []commutation.Swap
	to     *commutation.Judged
}

// minPass is the least probability of a pass.
const minPass = 0.95

// NewConfirmation judges the wiring of a that moves no lead.
func NewConfirmation(a *Answer) *Confirmation {
	c := &Confirmation{answer: a}
	for _, j := range a.Ranking.Wirings {
		if j.Wiring.Short() == commutation.Wirings()[0].Short() {
			c.is, c.known = j, true
		}
	}
	if a.Verdict != commutation.Ranked || !c.known {
		return c
	}
	c.Pass = c.is.Behaviour == commutation.CleanForward && min(c.is.Confidence, a.Confidence) >= minPass
	if to, swaps, ok := commutation.Nearest(c.is.Wiring, a.having(commutation.CleanForward)); ok && !c.Pass {
		c.to, c.change = &to, swaps
	}
	return c
}

// words returns the answer and what to do about it.
func (c *Confirmation) words() (sentence, todo string) {
	switch {
	case c.Pass:
		words := "as connected the motor runs clean forward"
		if c.answer.Assumed {
			words = fmt.Sprintf("Pass, if the controller's drive table is %s, which is assumed: %s, %s sure",
				Clean(c.answer.Ranking.Table.Name), words, percentSure(c.confidence()))
		} else {
			words = fmt.Sprintf("Pass, %s sure: %s", percentSure(c.confidence()), words)
		}
		return words + "; forward is the way this second spin was turned.", ""
	case c.answer.Verdict != commutation.Ranked:
		sentence, todo = c.answer.headline()
		return "Fail. " + sentence, todo
	case len(c.change) > 0:
		return fmt.Sprintf("Fail: as connected the motor's behaviour is %s.", c.is.Behaviour),
			"power off, then " + swapWords(c.change) + "; spin again to confirm"
	case c.to == nil:
		return fmt.Sprintf("Fail: as connected the motor's behaviour is %s, and no wiring runs it clean forward.", c.is.Behaviour), "see what rank says"
	}
	return fmt.Sprintf("Fail: clean forward as connected, but %s sure only.", percentSure(c.confidence())),
		"record a longer and faster spin"
}

// confidence is the probability that the motor does as is said.
func (c *Confirmation) confidence() float64 { return min(c.is.Confidence, c.answer.Confidence) }

// ConfirmationText prints c for a terminal.
func ConfirmationText(w io.Writer, c *Confirmation) error { return c.sheet().text(w) }

// ConfirmationMarkdown prints c as Markdown.
func ConfirmationMarkdown(w io.Writer, c *Confirmation) error { return c.sheet().markdown(w) }

func (c *Confirmation) sheet() sheet {
	var s sheet
	sentence, todo := c.words()
	s.para(sentence)
	if todo != "" {
		s.para("To do: " + todo + ".")
	}
	if c.known && c.answer.Verdict == commutation.Ranked {
		s.para("As connected: " + c.answer.behaviourWords(c.is) + ".")
	}
	s.para(c.tableWords())
	s.para(recordingWords(c.answer))
	var found []string
	for _, f := range c.answer.unsaid() {
		found = append(found, string(f.Severity)+": "+c.answer.findingWords(f))
	}
	s.list("Findings", found)
	if c.Pass {
		s.list("At the first power-up", cautionWords)
	}
	return s
}

// ConfirmationCSV prints c as CSV, one row: exchange has the terminals whose leads
// are to be exchanged, as in "V-W HV-HW".
func ConfirmationCSV(w io.Writer, c *Confirmation) error {
	out := csv.NewWriter(w)
	out.Write([]string{"pass", "verdict", "behaviour", "confidence", "exchange", "table", "assumed"})
	var swaps []string
	for _, ends := range exchanges(c.change) {
		swaps = append(swaps, ends[0]+"-"+ends[1])
	}
	behaviour, confidence := "", c.answer.Confidence
	if c.known {
		behaviour, confidence = string(c.is.Behaviour), c.confidence()
	}
	out.Write([]string{
		fmt.Sprint(c.Pass), string(c.answer.Verdict), behaviour, decimals(sure(confidence), 4),
		strings.Join(swaps, " "), Clean(c.answer.Ranking.Table.Name), fmt.Sprint(c.answer.Assumed),
	})
	out.Flush()
	return out.Error()
}

// tableWords says which table the answer is for.
func (c *Confirmation) tableWords() string {
	name := Clean(c.answer.Ranking.Table.Name)
	if c.answer.Assumed {
		return fmt.Sprintf("This is for a controller with the drive table %s, which is assumed; if yours has another, give it with --controller FILE.", name)
	}
	return fmt.Sprintf("This is for a controller with the drive table %s, as you said.", name)
}

type confirmDocument struct {
	Schema     string                `json:"schema"`
	Pass       bool                  `json:"pass"`
	Verdict    commutation.Verdict   `json:"verdict"`
	Confidence float64               `json:"confidence"`
	Behaviour  commutation.Behaviour `json:"behaviour,omitempty"`
	Torque     *float64              `json:"torque"`
	TorqueMin  *float64              `json:"torque_min"`
	Exchange   [][2]string           `json:"exchange"`
	Controller controllerJSON        `json:"controller"`
	Findings   []commutation.Finding `json:"findings"`
}

// ConfirmationJSON prints c as one JSON document.
func ConfirmationJSON(w io.Writer, c *Confirmation) error {
	a := c.answer
	d := confirmDocument{
		Schema: "handspin.confirm/1", Pass: c.Pass, Verdict: a.Verdict, Confidence: sure(a.Confidence),
		Exchange:   exchanges(c.change),
		Controller: controllerJSON{a.Ranking.Table.Name, a.Assumed, known(a.Ranking.Table.SpacingDeg(), 0)},
		Findings:   append([]commutation.Finding{}, a.findings()...),
	}
	if c.known {
		d.Confidence = sure(c.confidence())
		d.Behaviour, d.Torque, d.TorqueMin = c.is.Behaviour, known(c.is.Torque, 4), known(c.is.TorqueMin, 4)
	}
	return writeJSON(w, d)
}
