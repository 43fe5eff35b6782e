package present

import (
	"fmt"
	"slices"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin"
)

// Answer is what is known about a motor's wirings and how it came to be known.
type Answer struct {
	// Recording has the names of the leads.
	Recording *capture.Recording
	// AtRest is true where the motor is known from rest positions only, the
	// recording's rows.
	AtRest bool
	// Assumed is true where nobody said which drive table the controller has.
	Assumed bool
	// Ranking has no wirings where Spin is not usable.
	Ranking commutation.Ranking
	Spin    *spin.Result

	Verdict commutation.Verdict
	// Confidence is the probability that the set of clean wirings is right.
	Confidence float64
	// Screen is what text may have beside letters.
	Screen Screen
}

// Headline returns the verdict and its reason in one sentence.
func (a *Answer) Headline() string {
	sentence, _ := a.headline()
	return sentence
}

// findings returns all findings, those that decide the verdict first.
func (a *Answer) findings() []commutation.Finding {
	all := slices.Concat(a.Spin.Findings, a.Ranking.Findings)
	weight := []commutation.Severity{commutation.Repair, commutation.Data, commutation.Note}
	slices.SortStableFunc(all, func(x, y commutation.Finding) int {
		return slices.Index(weight, x.Severity) - slices.Index(weight, y.Severity)
	})
	return all
}

// wirings returns the list as it is printed: all of it, or the clean ones.
func (a *Answer) wirings(all bool) []commutation.Judged {
	if all {
		return a.Ranking.Wirings
	}
	return a.Ranking.Clean()
}

// having returns the wirings with one of the given behaviours, best first.
func (a *Answer) having(behaviours ...commutation.Behaviour) []commutation.Judged {
	var out []commutation.Judged
	for _, w := range a.Ranking.Wirings {
		if slices.Contains(behaviours, w.Behaviour) {
			out = append(out, w)
		}
	}
	return out
}

// phaseKey and hallKey return the leads' names in the recording format.
func phaseKey(i int) string { return fmt.Sprintf("p%d", i+1) }
func hallKey(i int) string  { return fmt.Sprintf("h%d", i+1) }

// phaseName and hallName return a lead's name: the person's own where there is
// one, the recording format's otherwise.
func (a *Answer) phaseName(i int) string {
	return orKey(a.Recording.Leads.Phase[i], phaseKey(i))
}

func (a *Answer) hallName(i int) string {
	return orKey(a.Recording.Leads.Hall[i], hallKey(i))
}

func orKey(name, key string) string {
	if name == "" {
		return key
	}
	return Clean(name)
}

// ends returns the names of the leads at U V W HU HV HW.
func (a *Answer) ends(w commutation.Wiring) [6]string {
	var out [6]string
	for i := range 3 {
		out[i] = a.phaseName(w.Phase[i])
		out[3+i] = a.hallName(w.Hall[i])
		if w.Invert[w.Hall[i]] {
			out[3+i] += " inverted"
		}
	}
	return out
}

// terminals are the controller's connections in the order of [Answer.ends].
var terminals = [6]string{"U", "V", "W", "HU", "HV", "HW"}
