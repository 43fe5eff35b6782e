package present

import (
	"fmt"
	"math"
	"strings"

	"handspin/commutation/difference"
)

// sentence is the one that matters: what is as it was, and what changed.
func (c *Comparison) sentence() string {
	if !c.Found.Compared() {
		which := "Neither of the two recordings tells all three phases"
		switch {
		case len(c.First.Spin.PhaseOrder) == 3:
			which = "The second recording does not tell all three phases, the first does"
		case len(c.Second.Spin.PhaseOrder) == 3:
			which = "The first recording does not tell all three phases, the second does"
		}
		return which + "; so there is little to compare."
	}
	changes := c.changes()
	if len(changes) == 0 {
		if f := &c.Found; f.SharedKnown() && f.Pattern.Err == nil && !math.IsNaN(f.FluxRatio.Value) {
			return "Nothing changed that a hand spin shows."
		}
		return "Nothing changed of what these two recordings tell."
	}
	text := strings.Join(changes, "; ") + "."
	if d := c.doubted(); d != "" {
		return d + "; so what differs may be the recording and not the motor: " + text
	}
	if same := c.same(); same != "" {
		return same + "; " + text
	}
	return capital(text)
}

// doubted says which recording is not to be relied on.
func (c *Comparison) doubted() string {
	switch c.Found.Doubted {
	case [2]bool{true, false}:
		return "The first recording does not tell all"
	case [2]bool{false, true}:
		return "The second recording does not tell all"
	case [2]bool{true, true}:
		return "Neither recording tells all"
	}
	return ""
}

// same says what is as it was.
func (c *Comparison) same() string {
	f := &c.Found
	var parts []string
	if f.FluxTells() && !f.Rotor() && !f.FluxChanged() && !f.FluxSlightly() {
		if f.Pattern.Err == nil {
			parts = append(parts, "rotor")
		} else {
			parts = append(parts, "flux")
		}
	}
	if !f.PhasesChanged() {
		parts = append(parts, "winding")
	}
	if !f.SensorsChanged() && f.SharedKnown() {
		parts = append(parts, "sensors")
	}
	if len(parts) == 0 {
		return ""
	}
	verb := " are as they were"
	if len(parts) == 1 && parts[0] != "sensors" {
		verb = " is as it was"
	}
	return capital(enumerate(parts)) + verb
}

// changes says what changed, thing by thing.
func (c *Comparison) changes() (out []string) {
	f := &c.Found
	if len(f.Exchanges) > 0 {
		text := "leads were exchanged, most simply " + exchanged(f.Exchanges[0])
		if len(f.Exchanges) > 1 {
			text += " (see below)"
		}
		out = append(out, text)
	}
	if f.PhasesChanged() {
		out = append(out, c.winding())
	}
	if f.Rotor() || f.FluxChanged() || f.FluxSlightly() {
		out = append(out, c.rotor())
	}
	if f.SensorsChanged() {
		out = append(out, c.sensors()...)
	}
	return out
}

// rotor says what the second rotor does otherwise; flux alone may be the input as well.
func (c *Comparison) rotor() string {
	const magnets = "the magnets differ from one another otherwise"
	f := &c.Found
	if p := &f.Pattern; p.OtherPairs() {
		return fmt.Sprintf("the second rotor has %d pole pairs, the first %d", p.Pairs[1], p.Pairs[0])
	}
	if !f.FluxChanged() && !f.FluxSlightly() {
		return magnets
	}
	much, digits := "more", 0
	if f.FluxRatio.Value < 1 {
		much = "less"
	}
	if f.FluxSlightly() {
		digits = 1
	}
	off := fmt.Sprintf("%.*f %% %s", digits, 100*math.Abs(f.FluxRatio.Value-1), much)
	if f.Pattern.Changed {
		return "the rotor gives " + off + " flux than in the first recording, and " + magnets
	}
	if f.Clipped {
		return fmt.Sprintf("all phases give %s than in the first recording, by %s flux, by another input setting, or because columns are cut off", off, much)
	}
	return fmt.Sprintf("all phases give %s than in the first recording, by %s flux or by another input setting", off, much)
}

// winding says which phase changed, or that several did.
func (c *Comparison) winding() string {
	lead := c.Found.Frame.Lead
	if lead < 0 {
		return "the phases' back-EMFs stand otherwise against one another than in the first recording, and more than one phase changed"
	}
	ratio, deg := c.Found.PhaseRatio[lead], c.Found.PhaseDeg[lead]
	what := "phase " + phaseKey(lead)
	if c.Found.ByInput {
		what += ", or its input,"
	}
	if c.Found.Reversed() {
		what += " is the other way round than it was and"
	}
	text := fmt.Sprintf("%s gives %.2f times what it gave", what, ratio.Value)
	if math.Abs(deg.Value) >= 0.5 && !c.Found.Reversed() {
		text += fmt.Sprintf(", %.1f degrees %s", math.Abs(deg.Value), later(deg.Value))
	}
	return text + fmt.Sprintf(", beside %s and %s as they were", phaseKey(min((lead+1)%3, (lead+2)%3)), phaseKey(max((lead+1)%3, (lead+2)%3)))
}

func later(deg float64) string {
	if deg > 0 {
		return "later"
	}
	return "earlier"
}

// sensors says which sensors stopped, started or moved.
func (c *Comparison) sensors() (out []string) {
	for k := range 3 {
		switch {
		case c.Found.Stopped[k]:
			out = append(out, "sensor "+hallKey(k)+" no longer switches")
		case c.Found.Started[k]:
			out = append(out, "sensor "+hallKey(k)+" switches again")
		}
	}
	switch f := &c.Found; {
	case !f.BoardMoved():
	case f.SharedKnown() && inverted(f.Shared[0]):
		out = append(out, "all sensors are inverted, or moved together by half an electrical turn")
	default:
		out = append(out, "all sensors moved together, by "+degrees(f.Shared))
	}
	moved := c.Found.Moved()
	switch n := len(moved); {
	case n == 1 && c.placed() == 2:
		out = append(out, "two sensors moved against one another")
	case n == 1:
		out = append(out, fmt.Sprintf("sensor %s %s", hallKey(moved[0]), c.movedBy(moved[0])))
	case n > 1:
		out = append(out, "the sensors moved against one another, as the table shows")
	}
	return out
}

// placed counts the sensors that have a place in both.
func (c *Comparison) placed() (n int) {
	for _, v := range c.Found.SensorDeg {
		if !math.IsNaN(v.Value) {
			n++
		}
	}
	return n
}

// movedBy says by how much one sensor moved against the others; half a turn is an
// inverted one.
func (c *Comparison) movedBy(k int) string {
	off := c.Found.AgainstOthers(k)
	if inverted(off) {
		return "is inverted: its level is high where it was low"
	}
	return fmt.Sprintf("moved by %s degrees against the two others", signed(off))
}

// inverted reports whether a sensor that moved by deg is rather one whose level is
// inverted: as near to half a turn as sensors are to their places.
func inverted(deg float64) bool { return math.Abs(deg) > 180-15 }

// degrees prints a range, or a number where it is none.
func degrees(span [2]float64) string {
	if span[0] == span[1] {
		return signed(span[0]) + " degrees"
	}
	return "something from " + signed(span[0]) + " to " + signed(span[1]) + " degrees"
}

// exchanged names the leads of an exchange.
func exchanged(x difference.Exchange) string {
	var parts []string
	for _, e := range []struct {
		order [3]int
		key   func(int) string
	}{{x.Phases, phaseKey}, {x.Halls, hallKey}} {
		var ends []string
		for k, from := range e.order {
			if from != k {
				ends = append(ends, e.key(k))
			}
		}
		switch len(ends) {
		case 2:
			parts = append(parts, enumerate(ends))
		case 3:
			parts = append(parts, fmt.Sprintf("all three so that the first's %s are the second's %s, %s and %s", enumerate(ends), e.key(e.order[0]), e.key(e.order[1]), e.key(e.order[2])))
		}
	}
	return strings.Join(parts, ", and ")
}

// exchanges says all the ways in which leads may have been exchanged, and what tells them
// apart.
func (c *Comparison) exchanges() (title string, items []string, todo string) {
	all := c.Found.Exchanges
	if len(all) == 0 {
		return "", nil, ""
	}
	ways := [2]bool{}
	for _, x := range all {
		text := exchanged(x) + ", the rotor turned the same way in both recordings"
		ways[0] = ways[0] || !x.Opposite
		if x.Opposite {
			text = exchanged(x) + ", the rotor turned the other way in the second recording"
			ways[1] = true
		}
		text += fmt.Sprintf("; the sensors then stand within %.1f degrees", math.Max(x.OffDeg, 0.1))
		if math.Abs(x.SharedDeg) > 0.5 {
			text += fmt.Sprintf(", and all moved by %s degrees or more as well", signed(x.SharedDeg))
		}
		if x.Magnets {
			text += ", and the magnets changed as well"
		}
		items = append(items, text+".")
	}
	if deg := c.Found.TurnedDeg; !math.IsNaN(deg) {
		items = append(items, fmt.Sprintf("none, and all sensors moved together by %s degrees.", signed(deg)))
	}
	todo = "The leads' colours and plugs tell it for sure."
	if ways == [2]bool{true, true} {
		todo = "What tells them apart: which way you turned the rotor, seen from the same side, in each recording; and the leads' colours and plugs."
	}
	return "Which leads were exchanged, simplest first. What is below has the first of them undone, and names leads as in the first recording:", items, todo
}
