package difference

import (
	"math"

	"handspin/commutation"
	"handspin/commutation/spin"
)

// PhasesChanged reports whether the phases stand otherwise against one another.
func (c *Comparison) PhasesChanged() bool {
	for k := range 3 {
		if differs(beyondOne(c.PhaseRatio[k]), phaseWorth) || differs(c.PhaseDeg[k], angleWorth) {
			return true
		}
	}
	return false
}

// Reversed reports whether the one phase that changed stands about opposite to where it
// stood.
func (c *Comparison) Reversed() bool {
	return c.Frame.Lead >= 0 && math.Abs(c.PhaseDeg[c.Frame.Lead].Value) > 180-muchDeg
}

// beyondOne is by how much a ratio differs from 1.
func beyondOne(v spin.Value) spin.Value { return spin.Value{Value: v.Value - 1, SD: v.SD} }

// Rotor reports whether the rotor changed: its flux, where what the frame is of tells of
// it and no column was cut off, its number of pole pairs, or its magnets among themselves.
func (c *Comparison) Rotor() bool {
	return c.Pattern.Changed || c.Pattern.OtherPairs() || c.FluxChanged() && !c.Clipped
}

// FluxChanged reports whether the flux differs by more than is worth a verdict. Where
// more than one phase changed, their mean did as well, and tells nothing of the rotor.
func (c *Comparison) FluxChanged() bool {
	worth := fluxWorth
	if c.Clipped {
		worth = clippedWorth
	}
	return c.FluxTells() && differs(beyondOne(c.FluxRatio), worth)
}

// FluxSlightly reports whether it differs by less, and by more than chance.
func (c *Comparison) FluxSlightly() bool {
	return c.FluxTells() && !c.Clipped && !c.FluxChanged() && differs(beyondOne(c.FluxRatio), fluxSmall)
}

// FluxTells reports whether the flux ratio is known and tells of the rotor.
func (c *Comparison) FluxTells() bool {
	return !math.IsNaN(c.FluxRatio.Value) && (c.Frame.By == TwoLeads || !c.PhasesChanged())
}

// SharedKnown reports whether it is known by how much all sensors moved together.
func (c *Comparison) SharedKnown() bool { return c.Shared[0] == c.Shared[1] }

// OneWay reports whether what all share is not known for the sensors' hysteresis or delay.
func (c *Comparison) OneWay() bool { return c.Shared[0] < c.Shared[1] }

// BoardMoved reports whether all sensors moved together, whatever of that is not known.
func (c *Comparison) BoardMoved() bool {
	return differs(spin.Value{Value: nearest(c.Shared[0], c.Shared[1]), SD: c.SharedSD}, sensorWorth)
}

// AgainstOthers is by how many degrees a sensor moved against what all share.
func (c *Comparison) AgainstOthers(k int) float64 {
	off := c.SensorDeg[k].Value
	if c.SharedKnown() {
		off -= c.Shared[0]
	}
	return commutation.Signed(off)
}

// Moved are the sensors that moved against what all share.
func (c *Comparison) Moved() (out []int) {
	worth := sensorWorth
	if c.OneWay() {
		worth = oneWayWorth
	}
	for k, v := range c.SensorDeg {
		if differs(spin.Value{Value: c.AgainstOthers(k), SD: v.SD}, worth) {
			out = append(out, k)
		}
	}
	return out
}

// SensorsChanged reports whether a sensor stopped, started or moved.
func (c *Comparison) SensorsChanged() bool {
	return c.Stopped != c.Started || len(c.Moved()) > 0 || c.BoardMoved()
}

// Aspect is one of the ways in which a motor is sound.
type Aspect string

// The aspects: the phases against one another, sensors against one another, all sensors
// against the phases, magnets against one another.
const (
	Balance Aspect = "balance"
	Places  Aspect = "places"
	Timing  Aspect = "timing"
	Magnets Aspect = "magnets"
)

// Step is a difference in one aspect: the second is nearer to sound, or further from it.
type Step struct {
	Of     Aspect
	Better bool
}

// The least differences of how sound a motor is that are worth a word.
const (
	balanceWorth = 0.01
	placeWorth   = 2.0 // deg
	unevenWorth  = 0.005
)

// Steps are the aspects in which the second is nearer to sound or further from it; none where
// either recording is doubted.
func (c *Comparison) Steps() (out []Step) {
	if c.Doubted != [2]bool{} {
		return nil
	}
	add := func(of Aspect, first, second spin.Value, worth float64) {
		off := spin.Value{Value: math.Abs(second.Value) - math.Abs(first.Value), SD: math.Hypot(first.SD, second.SD)}
		if differs(off, worth) {
			out = append(out, Step{of, off.Value < 0})
		}
	}
	a, b := c.Sound[0], c.Sound[1]
	add(Balance, a.Unbalance, b.Unbalance, balanceWorth)
	add(Places, a.WorstDeg, b.WorstDeg, placeWorth)
	if c.SharedKnown() && c.BoardMoved() {
		add(Timing, spin.Value{Value: a.ShiftDeg}, spin.Value{Value: b.ShiftDeg}, placeWorth)
	}
	if c.Pattern.Changed {
		add(Magnets, c.Pattern.Uneven[0], c.Pattern.Uneven[1], unevenWorth)
	}
	return out
}
