package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"handspin/capture/synth"
	"handspin/commutation/winding"
)

// machine is a synthetic motor that is told coil by coil and magnet by magnet.
type machine struct {
	slots            int
	layout           string
	strength, shift  value[map[int]float64]
	rotor, statorOff float64 // eccentricities
}

func (m *machine) flags() *pflag.FlagSet {
	set := newSet()
	m.strength = value[map[int]float64]{kind: "3=0.9,...", parse: numbered}
	m.shift = value[map[int]float64]{kind: "3=10,...", parse: numbered}
	set.IntVar(&m.slots, "slots", 0, "`N` teeth with a coil each; phases and harmonics follow from coils and magnets")
	set.StringVar(&m.layout, "layout", "", "coils as they are, a `LIST` as for the command winding, if not as they should be; with --slots")
	set.Var(&m.strength, "magnet", "relative strength of magnets: 0 missing, -1 the wrong way up; with --slots")
	set.Var(&m.shift, "magnet-shift", "electrical degrees by which magnets are late of their places; with --slots")
	set.Float64Var(&m.rotor, "eccentric-rotor", 0, "by how much the field is larger on one side of the rotor, a `SHARE`; with --slots")
	set.Float64Var(&m.statorOff, "eccentric-stator", 0, "the same of the stator, a `SHARE`; with --slots")
	return set
}

// numbered reads NUMBER=VALUE pairs whose numbers count from 1.
func numbered(text string) (map[int]float64, error) {
	out := map[int]float64{}
	for entry := range strings.SplitSeq(text, ",") {
		key, x, err := parsePair(entry)
		if err != nil {
			return nil, err
		}
		n, err := strconv.Atoi(strings.TrimSpace(key))
		if err != nil || n < 1 {
			return nil, fmt.Errorf("%q is not a magnet's number", key)
		}
		out[n] = x
	}
	return out, nil
}

// needsSlots refuses what a motor that is not told coil by coil would leave out.
func (m *machine) needsSlots() error {
	for flag, given := range map[string]bool{
		"layout": m.layout != "", "magnet": m.strength.got != nil, "magnet-shift": m.shift.got != nil,
		"eccentric-rotor": m.rotor != 0, "eccentric-stator": m.statorOff != 0,
	} {
		if given {
			return usageError{fmt.Errorf("--%s is for a motor coil by coil: give --slots N, too", flag)}
		}
	}
	return nil
}

// apply makes the motor of a configuration such a machine, if any was asked for.
func (m *machine) apply(c *synth.Config) error {
	if m.slots == 0 {
		return m.needsSlots()
	}
	stator := stator{slots: m.slots, poles: 2 * c.Motor.PolePairs, layout: m.layout}
	sound, err := winding.New(stator.slots, stator.poles)
	if err != nil {
		return err
	}
	layout, err := stator.wound(sound)
	if err != nil {
		return err
	}
	out := &synth.Machine{ToothDeg: -sound.Layout().AxisDeg(), RotorEccentricity: m.rotor, StatorEccentricity: m.statorOff}
	for _, coil := range layout.Coils {
		out.Coils = append(out.Coils, synth.Coil{Phase: coil.Phase, Sense: coil.Sense})
	}
	for range stator.poles {
		out.Magnets = append(out.Magnets, synth.Magnet{Strength: 1})
	}
	for _, given := range []struct {
		by  map[int]float64
		set func(*synth.Magnet, float64)
	}{
		{m.strength.got, func(g *synth.Magnet, x float64) { g.Strength = x }},
		{m.shift.got, func(g *synth.Magnet, x float64) { g.ShiftDeg = x }},
	} {
		for n, x := range given.by {
			if n > stator.poles {
				return fmt.Errorf("there is no magnet %d: %d pole pairs have %d", n, c.Motor.PolePairs, stator.poles)
			}
			given.set(&out.Magnets[n-1], x)
		}
	}
	c.Motor.Machine = out
	return nil
}
