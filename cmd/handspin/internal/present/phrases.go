package present

import (
	"fmt"
	"math"
	"strings"

	"handspin/commutation"
)

const (
	equallyTitle = "Just as good, the same way round:"
	reverseTitle = "Clean too, but in reverse:"

	// tryPhases holds for any table for sensors 120 degrees apart: such tables
	// differ by the order of the terminals and by the sense only.
	tryPhases = "If you cannot find it out: handspin next finds it and the wiring in a few gentle trials. Or leave the Hall " +
		"leads as above and try the six orders of the phase leads. One of the six runs smoothly on little current, forward or in reverse."

	limitsWords = "Not tested, because a hand spin cannot show it: faults that come with heat, sensor " +
		"signals disturbed by the controller's switching, and sensors that lag at speed."

	// hiddenWords follow from resistances in series and parallel. With legs of R a
	// delta has 2R/3 between any two leads, and without one of them 2R, R and R.
	hiddenWords = "Nor does it show a joint of high resistance, a strand or a parallel branch that is open, or an open leg of a " +
		"delta: the back-EMF stays. Measure the three pairs of leads with a four-wire meter: of a sound motor they are alike " +
		"within 2 %. In a star the phase at fault is the one that the two higher pairs share; in a delta it lies between the " +
		"leads of the highest pair, which has twice what the others have where it is open."
)

// cautionWords are the usual cautions for a first power-up.
var cautionWords = []string{
	"change no lead under power: supply open, and measured to be off",
	"wheel off the ground or rotor free, axle clamped, glasses on",
	"supply with a current limit, or a fuse in the battery lead",
	"one brief, gentle pulse of throttle with an eye on the current: smooth and little is right; stop at once if it growls, jerks or warms up",
	"a turning motor is a generator, supply or none",
	"local codes and people licensed for such work come before this advice",
}

// firstTitle introduces the wiring to connect first.
func firstTitle(a *Answer) string {
	if a.Verdict == commutation.RepairFirst {
		return condition(a) + ", connect this one first:"
	}
	return "Connect this one first, with the power off:"
}

// listTitle introduces the list as a whole.
func listTitle(a *Answer) string {
	switch a.Verdict {
	case commutation.RepairFirst:
		return condition(a) + ":"
	case commutation.MoreData:
		return "Unproven, do not connect power by it:"
	}
	return "Connect rank 1 first, with the power off:"
}

// everyTitle introduces the list of all wirings.
func everyTitle(a *Answer) string {
	text := "All wirings, best first"
	switch a.Verdict {
	case commutation.RepairFirst:
		c := condition(a)
		text += ", " + strings.ToLower(c[:1]) + c[1:]
	case commutation.MoreData:
		text += ", unproven: do not connect power by it"
	}
	return text + ". Torque is in percent of the ideal, lowest is its smallest value in the turn."
}

// condition says under which condition the list of a motor that has to be
// repaired holds.
func condition(a *Answer) string {
	var inverted, unplaced []string
	for i, s := range a.Spin.Sensors {
		if a.Ranking.Inverted[i] {
			inverted = append(inverted, a.hallName(i))
		}
		if !s.Placed {
			unplaced = append(unplaced, a.hallName(i))
		}
	}
	switch {
	case len(inverted) > 0:
		return "With " + strings.Join(inverted, " and ") + " inverted"
	case len(unplaced) > 0:
		return "Once that is repaired, and if " + strings.Join(unplaced, " and ") + " then sits 120 degrees from the others"
	}
	return "Once that is repaired, and if nothing else changes"
}

// noList says why there is no list.
func noList(a *Answer) string {
	switch {
	case len(a.Ranking.Wirings) == 0 && a.AtRest:
		return "There is no list of wirings: these rest positions do not determine one."
	case len(a.Ranking.Wirings) == 0 && a.Verdict == commutation.RepairFirst:
		return "There is no list of wirings: it would not outlast that repair. Record again then."
	case len(a.Ranking.Wirings) == 0:
		return "There is no list of wirings: the recording does not determine one."
	case a.Verdict == commutation.MoreData:
		return "There is nothing to connect yet. With --all you see how the wirings stand so far."
	}
	return "There is nothing to connect: with the motor as it is no wiring runs it cleanly."
}

// driveTableWords says which drive table the list is for.
func driveTableWords(a *Answer) []string {
	name := Clean(a.Ranking.Table.Name)
	if !a.Assumed {
		return []string{fmt.Sprintf("Drive table: %s, as you said.", name), a.middleWords()}
	}
	words := []string{fmt.Sprintf("Drive table: %s is assumed, the one most often published; there is no standard. "+
		"If your controller's is another, other wirings are the clean ones: give it with --controller FILE.", name)}
	if a.Verdict == commutation.Ranked && a.Ranking.Table.SpacingDeg() == 120 && len(a.Ranking.Clean()) == 6 {
		words = append(words, tryPhases)
	}
	return words
}

// recordingWords says what the recording holds.
func recordingWords(a *Answer) string {
	r, s := a.Recording, a.Spin
	if a.AtRest {
		return fmt.Sprintf("Recording: %s, %d rest positions of the rotor under a direct current. "+
			"Forward is the way the rotor steps when %s, %s and %s are high in turn.",
			Clean(r.Name), r.Rows(), a.phaseName(s.PhaseOrder[0]), a.phaseName(s.PhaseOrder[1]), a.phaseName(s.PhaseOrder[2]))
	}
	text := fmt.Sprintf("Recording: %s, %d rows in %.1f s, %s damaged; %.1f electrical turns forward, %.1f backward",
		Clean(r.Name), r.Rows(), r.Seconds(), noneOr(r.BadRows), s.TurnsForward, s.TurnsBackward)
	if r.PolePairs > 0 {
		text += fmt.Sprintf(" (%.1f and %.1f of the shaft)", s.TurnsForward/float64(r.PolePairs), s.TurnsBackward/float64(r.PolePairs))
	}
	return text + "."
}

func noneOr(n int) string {
	if n == 0 {
		return "none"
	}
	return fmt.Sprint(n)
}

// spacingWords says how the sensors are spaced.
func spacingWords(deg float64) string {
	if math.IsNaN(deg) {
		return "spacing not known"
	}
	return fmt.Sprintf("%.0f degrees apart", deg)
}

// enumerate joins the parts of a list, which has one at least.
func enumerate(parts []string) string {
	last := len(parts) - 1
	if last == 0 {
		return parts[0]
	}
	return strings.Join(parts[:last], ", ") + " and " + parts[last]
}
