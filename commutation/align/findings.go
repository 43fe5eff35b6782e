package align

import (
	"fmt"
	"math"
	"strings"

	"handspin/capture/rest"
	"handspin/commutation"
)

// findings says what the table shows and what it cannot.
func (a *analysis) findings() []commutation.Finding {
	var out []commutation.Finding
	if n := a.angles(); n < 6 {
		out = append(out, commutation.Finding{
			Code: "pairs-missing", Severity: commutation.Data,
			Text: fmt.Sprintf("the table has %d of the six rest positions", n),
			Hint: "feed each pair of leads either way: p1,p2 p1,p3 p2,p3 p2,p1 p3,p1 p3,p2",
		})
	} else {
		out = append(out, a.stuck()...)
	}
	if len(out) == 0 {
		out = append(out, a.contradictions()...)
	}
	if len(out) == 0 && a.best.weight < minWeight {
		out = append(out, commutation.Finding{
			Code: "rest-ambiguous", Severity: commutation.Data,
			Text: fmt.Sprintf("the levels fit more than one set of regular places of the sensors; the likeliest is %.0f %% sure", 100*a.best.weight),
			Hint: "push the rotor a little to either side of each rest position, and write x for a level that changes",
		})
	}
	return append(out, commutation.Finding{
		Code: "dc-alignment", Severity: commutation.Note,
		Text: "rest positions tell the sensors' places to some 30 degrees only, because cogging and friction pull them and sensors often switch right there; " +
			"sensors are taken to sit where six-step drive wants them, and phases for sound, so that nothing here is called more than " + fmt.Sprintf("%.0f %% sure", 100*maxSure),
		Hint: "a recorded hand spin shows faults, timing and how sure the list is",
	})
}

// angles counts the different rest positions.
func (a *analysis) angles() int {
	seen := map[float64]bool{}
	for _, pos := range a.table.Positions {
		seen[math.Round(RestDeg(pos.Current, a.lag))] = true
	}
	return len(seen)
}

// stuck names sensors that were seen at one level only, or at none.
func (a *analysis) stuck() []commutation.Finding {
	var out []commutation.Finding
	for i := range 3 {
		low, high := a.seen(i)
		lead := fmt.Sprintf("h%d", i+1)
		switch {
		case low && high:
		case !low && !high:
			out = append(out, commutation.Finding{
				Code: "sensor-not-seen", Severity: commutation.Data, Lead: lead,
				Text: fmt.Sprintf("no level of %s was written down: it is x at all rest positions", lead),
				Hint: fmt.Sprintf("measure %s again, with its supply and pull-up: x is for a level that changes just there, and no sensor does so everywhere", lead),
			})
		default:
			level := "low"
			if high {
				level = "high"
			}
			out = append(out, commutation.Finding{
				Code: "sensor-stuck-" + level, Severity: commutation.Repair, Lead: lead,
				Text: fmt.Sprintf("%s stayed %s at all rest positions", lead, level),
				Hint: fmt.Sprintf("check the wire, the pull-up and the supply of %s, then the sensor", lead),
			})
		}
	}
	return out
}

// minWeight is how probable the likeliest places of the sensors have to be for a
// list of wirings.
const minWeight = 0.95

// improbable is the chance below which a level contradicts the others.
const improbable = 0.03

// contradictions names the rows that do not fit the likeliest places.
func (a *analysis) contradictions() []commutation.Finding {
	var rows []string
	for _, pos := range a.table.Positions {
		if a.contradicts(pos) {
			rows = append(rows, fmt.Sprint(pos.Line))
		}
	}
	if len(rows) == 0 {
		return nil
	}
	return []commutation.Finding{{
		Code: "rest-contradiction", Severity: commutation.Data,
		Text: "what was seen in line " + strings.Join(rows, " and ") + " fits no regular place of the sensors that fits the rest",
		Hint: "measure again, with enough current to hold the rotor firmly and the axle free",
	}}
}

func (a *analysis) contradicts(pos rest.Position) bool {
	for i := range 3 {
		if a.chance(pos, i, a.best.rise[i]) < improbable {
			return true
		}
	}
	return false
}
