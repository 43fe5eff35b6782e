package spin

import (
	"fmt"
	"slices"
	"strings"

	"handspin/capture"
	"handspin/commutation"
)

// A recording that was spun the other way than the rest has its sensors and phases
// mirrored about the ones that it shares. What is joined is then no motor, unless
// sensors and phases are about 30 degrees off their places; and it becomes one when
// that recording is turned back.

// turned returns a part as it is if its recording was spun the other way.
func (a *analysis) turned() *analysis {
	c := a.copied()
	if c.rotor == nil {
		return c
	}
	c.rotor.sense = -c.rotor.sense
	c.result.TurnsForward, c.result.TurnsBackward = c.result.TurnsBackward, c.result.TurnsForward
	c.readSensors()
	c.readDrag()
	return c
}

// copied returns a copy of a part that joining may change.
func (a *analysis) copied() *analysis {
	c := *a
	if a.rotor != nil {
		r := *a.rotor
		c.rotor = &r
	}
	c.scaled = slices.Clip(c.scaled)
	c.result.Findings = slices.Clip(c.result.Findings)
	return &c
}

// direction is what recordings that are to be joined tell of the way in which they
// were spun.
type direction struct {
	// apart is set where they contradict one another as they are.
	apart bool
	// other are the recordings of which one turned the other way leaves no
	// contradiction.
	other []string
}

// directionOf tries each part turned.
func directionOf(parts []*analysis) (d direction) {
	d.apart = !regular(parts, -1)
	for k, p := range parts {
		if p.rotor != nil && regular(parts, k) {
			d.other = append(d.other, p.rec.Name)
		}
	}
	return d
}

// regular reports whether parts, of them one turned (-1 for none), make a motor as far
// as they go: each sensor at one place, on a grid of 120 or 60 degrees, phases that
// belong together.
func regular(parts []*analysis, turn int) bool {
	var own []*analysis
	for k, p := range parts {
		if k == turn {
			own = append(own, p.turned())
		} else {
			own = append(own, p.copied())
		}
	}
	c := longestChain(own)
	if c.length() < 2 || turn >= 0 && !c.has(turn) || len(c.against) > 0 {
		return false
	}
	j := &joiner{analysis: newAnalysis(&capture.Recording{}), linkage: c}
	j.joinSensors()
	if s := j.result.SpacingDeg; s == s && s != 120 && s != 60 {
		return false
	}
	var seen []view
	for k, factor := range j.scales() {
		if p := j.parts[k]; p.fit != nil && c.has(k) {
			seen = append(seen, p.scaledViews(p.fit.Unknowns(), factor)...)
		}
	}
	inverse, ok := normalInverse(seen)
	return !ok || unbalance(solve(inverse, seen)) <= brokenShare
}

// suspects reports whether a recording spun the other way would explain what is
// contradictory.
func (d direction) suspects() bool { return d.apart && len(d.other) > 0 }

// granted says how far it shows that all were spun the same way, of a set that gives
// the motor or of one that does not.
func (d direction) granted(usable bool) string {
	switch {
	case len(d.other) == 0 && !d.apart:
		return "is what fits"
	case usable && !d.apart:
		return "is taken for granted, and of " + strings.Join(d.other, " or ") + " it would not show"
	}
	return "is taken for granted"
}

// reportDirection names the recordings that may have been spun the other way.
func (j *joiner) reportDirection() {
	if !j.way.suspects() {
		return
	}
	j.result.Usable = false
	j.find("mixed-direction", commutation.Data, "", fmt.Sprintf("the recordings contradict one another as they are, and would not if %s had been spun the other way than the rest", strings.Join(j.way.other, " or ")),
		"record that again, spun the same way as the others")
}
