package commutation

import (
	"fmt"
	"math"
	"strings"
)

// blank returns the list of a motor that cannot be judged: nothing is known of
// any wiring.
func (j judge) blank() Ranking {
	r, _ := j.rank([3]bool{})
	for i := range r.Wirings {
		r.Wirings[i].Confidence = 0
	}
	r.CleanConfidence = 0
	r.Findings = []Finding{{
		Code: "no-motor", Severity: Data,
		Text: "neither back-EMF nor sensor places are known well enough to judge any wiring",
		Hint: "record a spin with all phase and Hall leads connected to the board",
	}}
	return r
}

// borderline says that it is uncertain which wirings are clean, and names the
// one that is most so.
func borderline(r Ranking, worst Wiring) Finding {
	return Finding{
		Code: "wiring-borderline", Severity: Data,
		Text: fmt.Sprintf("which wirings run cleanly is %.0f %% sure only; least so for %v", 100*r.CleanConfidence, worst),
		Hint: "record a longer and faster spin, in both directions, before connecting power; if that says the same, the sensors sit between two places that suit, and their board has to be turned",
	}
}

// mismatch says that the motor runs from the table only with the Hall leads
// inverted that r has inverted.
func (j judge) mismatch(r Ranking) Finding {
	var leads []string
	for i, inverted := range r.Inverted {
		if inverted {
			leads = append(leads, fmt.Sprintf("h%d", i+1))
		}
	}
	sensors := "that sensor"
	if len(leads) > 1 {
		sensors = "those sensors"
	}
	f := Finding{
		Code: "table-mismatch", Severity: Repair,
		Text: fmt.Sprintf("no wiring runs this motor cleanly from drive table %s; with %s inverted %d do",
			j.spacings(), strings.Join(leads, " and "), len(r.Clean())),
		Hint: fmt.Sprintf("%sput an inverter or one transistor into %s, or turn %s over, or fit the kind of opposite polarity; the list holds after that",
			j.setController(), strings.Join(leads, " and "), sensors),
	}
	if len(leads) == 1 {
		f.Lead = leads[0]
	}
	return f
}

// spacings returns the table's name and spacing and what the sensors show.
func (j judge) spacings() string {
	text := j.table.Name
	if deg := j.table.SpacingDeg(); !math.IsNaN(deg) {
		text += fmt.Sprintf(" for sensors %.0f degrees apart", deg)
	}
	seen := j.turn.seen()
	pair, ok := MissingPair(seen)
	switch middle := pair.Middle(); {
	case !ok:
		return text + fmt.Sprintf(", and its sensors show %d states", seenStates(seen))
	case middle < 0:
		return text + ", and its sensors switch as if 120 degrees apart"
	default:
		return text + fmt.Sprintf(", and its sensors switch as if 60 degrees apart with h%d in the middle", middle+1)
	}
}

// seenStates returns how many of the eight states are seen.
func seenStates(seen [8]bool) int {
	n := 0
	for _, yes := range seen {
		if yes {
			n++
		}
	}
	return n
}

// setController returns the advice to change the controller's spacing, where
// that differs from the sensors'.
func (j judge) setController() string {
	pair, ok := MissingPair(j.turn.seen())
	if deg := pair.SpacingDeg(); ok && deg != j.table.SpacingDeg() {
		return fmt.Sprintf("set the controller to %.0f degrees if it can be and rank with its table for that; or ", deg)
	}
	return ""
}

// noClean says that the motor cannot be run from the table as it is.
func (j judge) noClean(r Ranking) Finding {
	return Finding{
		Code: "no-clean-wiring", Severity: Repair,
		Text: fmt.Sprintf("no wiring runs this motor cleanly from drive table %s; the most torque without inverting a lead is %.2f of what perfect timing gives",
			j.spacings(), mostTorque(r.Wirings)),
		Hint: "repair the phases and sensors named in the other findings, or put the sensors where they belong, then record again",
	}
}
