package present

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"handspin/commutation"
	"handspin/commutation/difference"
	"handspin/commutation/spin"
)

// fluxCauses says what the same factor in all phases may be.
func (c *Comparison) fluxCauses() string {
	f := &c.Found
	if math.IsNaN(f.FluxRatio.Value) {
		return "The flux is not compared: only one of the recordings says how many volts a unit of its phase columns is. The header line '# volts_per_count: VOLTS' says it."
	}
	if !f.FluxChanged() && !f.FluxSlightly() {
		return ""
	}
	text := fmt.Sprintf("The same factor in all phases may be the magnets (which lose about 0.1 %% per degree of warmth), the air gap, or as many "+
		"turns taken from or added to each phase; or no change of the motor but another divider or input setting. The last is excluded if the same kit "+
		"recorded both at the same setting, or if the no-load speed at the same voltage is %.2f times the first's. The phases' resistances tell turns.", 1/f.FluxRatio.Value)
	a, b := fmt.Sprintf("%.4g", c.First.Recording.VoltsPerUnit), fmt.Sprintf("%.4g", c.Second.Recording.VoltsPerUnit)
	if f.Clipped {
		text += " Columns that are cut off at a limit do not tell it well: use a larger divider ratio, bias the dividers to half the supply, or turn more slowly."
	}
	switch {
	case f.ByCounts:
		text += " Neither file says how many volts a unit of its phase columns is; they are taken to be alike."
	case a != b && min(c.First.Recording.VoltsPerUnit, c.Second.Recording.VoltsPerUnit) > 0:
		text += " The files say " + a + " and " + b + " V for each unit."
	}
	return text
}

// phaseCauses says what the change of one phase may be.
func (c *Comparison) phaseCauses() string {
	f := &c.Found
	switch lead := phaseKey(max(f.Frame.Lead, 0)); {
	case !f.PhasesChanged():
		return ""
	case f.Frame.Lead < 0:
		return "More than one phase changed: which ones, and by how much, shows in what handspin inspect says of either recording. " +
			"One probe or divider that changed would have left the others."
	case f.ByInput:
		return fmt.Sprintf("Only the size of %s's column changed, and no other column. That may be its turns or a short in it; or no change of the motor but "+
			"its own probe or divider. If the columns are not against the winding's star point it is the input, since a phase would then have moved the other "+
			"columns too. To tell: exchange %s with another lead at the inputs and record again. What comes from the input stays with the input. "+
			"Or measure the phases' resistances.", lead, lead)
	case f.Reversed():
		return fmt.Sprintf("Angles are measured from the voltage between the two other phases, which is as it was, not from %s.", phaseKey(0))
	case f.FluxChanged():
		return fmt.Sprintf("This is the simplest explanation but for one just as simple: that the flux is as it was, and more phases than %s changed. "+
			"Angles are measured from the voltage between the two other phases.", lead)
	default:
		return fmt.Sprintf("This is the simplest explanation: %s by itself changed, with the voltage between the two other phases as it was. "+
			"Angles are measured from that voltage, not from %s.", lead, phaseKey(0))
	}
}

// sharedWords says what is not known of the sensors together.
func (c *Comparison) sharedWords() string {
	f := &c.Found
	switch {
	case f.SharedKnown() || c.placed() == 0:
		return ""
	case f.Frame.By == difference.AllSensors:
		return "Whether all sensors moved together is not known: with more than one phase changed there is nothing else to measure angles from, so the sensors are taken to stand as they stood."
	}
	var causes []string
	if f.OtherWay {
		causes = append(causes, fmt.Sprintf("the second rotor was turned the other way, and each sensor's hysteresis, up to some %.0f degrees either way, looks like a move of all", difference.MostLateDeg))
	}
	if f.Late {
		causes = append(causes, fmt.Sprintf("a delay of the sensors, up to some %.1f ms, looks like a move of all at the speeds of these recordings", difference.MostLateUS/1000))
	}
	text := "By how much all sensors moved together is not known: " + strings.Join(causes, "; ") + ". Together they moved by " + degrees(f.Shared)
	if !f.BoardMoved() {
		text += ", which may be none"
	}
	return text + ". To know it, record again with the rotor turned by hand both ways, or the same way in both recordings."
}

// magnetsWords says what was found of the magnets one by one.
func (c *Comparison) magnetsWords() string {
	p := &c.Found.Pattern
	inspect := "handspin inspect with --slots and --poles on each recording"
	switch {
	case p.OtherPairs():
		return ""
	case errors.Is(p.Err, difference.ErrWinding):
		return "Magnets one by one are not compared: " + p.Err.Error() + ". To look at them, run " + inspect + "."
	case p.Err != nil:
		text := "Magnets one by one are not compared: " + p.Err.Error() + "."
		if p.PolePairs == 0 {
			text += " Give --pole-pairs."
		}
		return text
	case p.Changed:
		return fmt.Sprintf("Over the turn of the shaft the back-EMF differs by %s %% of its fundamental between the recordings: a magnet was replaced or moved, or the air gap is "+
			"uneven otherwise. Which magnet it is, %s may tell.", value(100*p.Change.Value, 100*p.Change.SD, 1), inspect)
	}
	pairs := fmt.Sprintf("%d pole pairs", p.PolePairs)
	if p.Pairs == [2]int{} {
		pairs += " as it seems; if not, give --pole-pairs"
	}
	return fmt.Sprintf("Over the turn of the shaft (%s) the magnets do what they did, within %.1f %% of the fundamental.", pairs, 100*math.Max(difference.LeastPattern, 3*p.Change.SD))
}

// kept says that the leads have to be connected anew.
func (c *Comparison) kept() string {
	does, ok := map[commutation.Behaviour]string{
		commutation.CleanReverse: "run backward", commutation.WeakForward: "turn rough and weak", commutation.WeakReverse: "turn rough and weak",
		commutation.Stall: "stall", commutation.Fault: "stop at states that the drive table lacks",
	}[c.Found.Kept]
	if !ok {
		return ""
	}
	return "Connected as suited the first, lead by lead, the second motor would " + does + ": handspin rank on the second recording says how to connect it."
}

// better says what is nearer to sound than before, and what is further from it.
func (c *Comparison) better() string {
	var near, far []string
	for _, s := range c.Found.Steps() {
		name := map[difference.Aspect]string{difference.Balance: "the phases' balance", difference.Places: "the sensors' places", difference.Timing: "the sensors' common timing", difference.Magnets: "the magnets"}[s.Of]
		if s.Better {
			near = append(near, name)
		} else {
			far = append(far, name)
		}
	}
	text := ""
	if near != nil {
		text = "Nearer to sound than in the first recording: " + enumerate(near) + "."
	}
	if far != nil {
		text = strings.TrimSpace(text + " Further from sound: " + enumerate(far) + ".")
	}
	return text
}

// findings says what is to be repaired or recorded better by one of the recordings or by both.
func (c *Comparison) findings() (out []string) {
	for _, f := range c.First.Spin.Findings {
		switch {
		case !c.tells(c.First.Spin, f):
		case !hasFinding(c.Second.Spin, f):
			out = append(out, "no longer seen: "+c.First.withNames(f.Text)+".")
		default:
			out = append(out, "in both: "+c.Second.findingWords(f)+".")
		}
	}
	for _, f := range c.Second.Spin.Findings {
		if c.tells(c.Second.Spin, f) && !hasFinding(c.First.Spin, f) {
			out = append(out, "new: "+c.Second.findingWords(f)+".")
		}
	}
	return out
}

// tells reports whether a finding of a recording is worth a word beside a comparison.
func (c *Comparison) tells(r *spin.Result, f commutation.Finding) bool {
	aside := f.Code == "mixed-direction" && c.Found.Compared() && !difference.Doubts(r, f)
	return f.Severity != commutation.Note && !aside
}

func hasFinding(r *spin.Result, like commutation.Finding) bool {
	return slices.ContainsFunc(r.Findings, func(f commutation.Finding) bool { return f.Code == like.Code && f.Lead == like.Lead })
}
