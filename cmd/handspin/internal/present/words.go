package present

import (
	"fmt"
	"math"
	"regexp"
	"strings"

	"handspin/commutation"
	"handspin/commutation/spin"
)

// headline returns the verdict with its reason, and what to do about it.
func (a *Answer) headline() (sentence, todo string) {
	if a.Verdict == commutation.Ranked {
		forward := len(a.having(commutation.CleanForward))
		reverse := len(a.having(commutation.CleanReverse))
		way := "the way it was turned"
		if a.AtRest {
			way = "see below"
		}
		return fmt.Sprintf("Ranked, %s sure: of the 36 wirings %d %s this motor cleanly forward (%s) and %d in reverse.",
			percentSure(a.Confidence), forward, verb(forward, "runs", "run"), way, reverse), a.beforePower()
	}
	word := "Repair first"
	if a.Verdict == commutation.MoreData {
		word = "More data needed"
	}
	reasons := a.reasons()
	if len(reasons) == 0 {
		return word + ": the recording does not tell which wirings run this motor.", "record a longer spin"
	}
	sentence = word + ": " + a.withNames(reasons[0].Text)
	if more := len(reasons) - 1; more > 0 {
		sentence += fmt.Sprintf(" (and %d more, below)", more)
	}
	return sentence + ".", a.withNames(reasons[0].Hint)
}

// beforePower names a phase so weak that it is to be looked at before anybody powers
// the motor, though the list holds; empty where there is none.
func (a *Answer) beforePower() string {
	for _, f := range a.findings() {
		if f.Code == "phase-weak" {
			return "before you power it, see why " + a.withNames(f.Text)
		}
	}
	return ""
}

// reasons returns the findings that keep the list from being ranked.
func (a *Answer) reasons() []commutation.Finding {
	decisive := commutation.Repair
	if a.Verdict == commutation.MoreData {
		decisive = commutation.Data
	}
	var out []commutation.Finding
	for _, f := range a.findings() {
		if a.Verdict != commutation.Ranked && f.Severity == decisive {
			out = append(out, f)
		}
	}
	return out
}

func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// leadKey finds the leads' names of the recording format in a text.
func leadKey() *regexp.Regexp { return regexp.MustCompile(`\b[ph][123]\b`) }

// withNames returns text with the person's own names beside the leads' keys.
func (a *Answer) withNames(text string) string {
	return leadKey().ReplaceAllStringFunc(Clean(text), a.both)
}

// both returns a lead's key, with its name where it has one: "h2 (white)".
func (a *Answer) both(key string) string {
	name := a.phaseName(int(key[1] - '1'))
	if key[0] == 'h' {
		name = a.hallName(int(key[1] - '1'))
	}
	if name == key {
		return key
	}
	return key + " (" + name + ")"
}

// findingWords returns what was seen and what to do about it.
func (a *Answer) findingWords(f commutation.Finding) string {
	text := a.withNames(f.Text)
	if f.Hint != "" {
		text += "; " + a.withNames(f.Hint)
	}
	return text
}

// maxSure is the most confidence that is printed: certainty is not to be had
// from a recording.
const maxSure = 0.9999

// sure returns a confidence as it is printed, rounded down to four digits.
func sure(p float64) float64 {
	return min(math.Floor(p*1e4+1e-6)/1e4, maxSure)
}

func percentSure(p float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.2f", 100*sure(p)), "0"), ".") + " %"
}

func percent(x float64) string { return fmt.Sprintf("%.0f %%", 100*x) }

// behaviourWords says what a clean wiring does.
func (a *Answer) behaviourWords(j commutation.Judged) string {
	text := fmt.Sprintf("%s: %s of the ideal torque, never under %s",
		strings.Replace(string(j.Behaviour), "-", " ", 1), percent(math.Abs(j.Torque)), percent(j.TorqueMin))
	if a.Verdict == commutation.Ranked {
		text += "; " + percentSure(j.Confidence) + " sure"
	}
	return text
}

// trap warns of the wirings that turn the motor and are wrong.
func (a *Answer) trap() string {
	weak := a.having(commutation.WeakForward, commutation.WeakReverse)
	if len(weak) == 0 {
		return ""
	}
	low, high := math.Inf(1), 0.0
	for _, w := range weak {
		low, high = min(low, math.Abs(w.Torque)), max(high, math.Abs(w.Torque))
	}
	return fmt.Sprintf(`Trap: %d other wirings turn this motor too, at %s of the torque, rough and hot. So "it spins" proves nothing.`,
		len(weak), percentRange(low, high))
}

func percentRange(low, high float64) string {
	if percent(low) == percent(high) {
		return percent(low)
	}
	return fmt.Sprintf("%.0f to %s", 100*low, percent(high))
}

// value prints a number with its standard deviation, to the digit that the
// deviation warrants and at most the given number of digits after the point; "?"
// where it is not known. A deviation too small for that shows as the last digit.
func value(x, sd float64, digits int) string {
	if math.IsNaN(x) {
		return "?"
	}
	if math.IsNaN(sd) {
		return fixed(x, digits)
	}
	if sd >= 1 {
		digits = 0
	}
	return fixed(x, digits) + " ±" + fixed(max(sd, math.Pow10(-digits)), digits)
}

// precise prints x with its standard deviation to one digit of that, five digits
// of x at the most.
func precise(x, sd float64) string {
	most := 4 - int(math.Floor(math.Log10(math.Abs(x))))
	digits := most
	if sd > 0 {
		digits = min(most, -int(math.Floor(math.Log10(sd))))
	}
	digits = max(digits, 0)
	return fixed(x, digits) + " ±" + fixed(max(sd, math.Pow10(-digits)), digits)
}

// angle prints an angle in [0, 360) as [value] does.
func angle(v spin.Value, digits int) string {
	if round(v.Value, digits) >= 360 {
		v.Value = 0
	}
	return value(v.Value, v.SD, digits)
}

// fixed prints x with so many digits after the point, zero without a sign.
func fixed(x float64, digits int) string {
	return fmt.Sprintf("%.*f", digits, round(x, digits))
}
