package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"handspin/cmd/handspin/internal/bench"
	"handspin/cmd/handspin/internal/present"
	"handspin/commutation/winding"
)

// newInspect returns the command inspect, the motor's health in full.
func newInspect() *cobra.Command {
	var e examination
	format := choice("FORMAT", "text", "json")
	cmd := &cobra.Command{
		Use:   "inspect FILE...",
		Short: "Say whether sensors and phases are sound",
		Long: `inspect says what a recorded hand spin tells of a motor's health: the sensors'
places, levels and hysteresis, the back-EMF of the phases, and the motor's
constants where volts and pole pairs are known. After a whole turn of the shaft
it says how even the magnets are, and finds the pole pairs if need be. With
--slots and --poles the back-EMF is held against the faults that a winding of
one coil per tooth can have, and magnets are listed one by one where the winding
shows them. FILE is as for rank.`,
		Example: `  handspin inspect spin.csv
  handspin inspect spin.csv --slots 12 --poles 14`,
		Args: someFiles,
		RunE: func(cmd *cobra.Command, args []string) error {
			_, n, err := e.inspect(cmd, args)
			if err != nil {
				return err
			}
			write := map[string]func(io.Writer, *present.Inspection) error{"text": present.InspectText, "json": present.InspectJSON}[format.got]
			return write(cmd.OutOrStdout(), n)
		},
	}
	motor := e.ask.motorFlags()
	motor.AddFlagSet(e.flags())
	out := newSet()
	out.Var(format, "format", "text or json")
	setFlags(cmd, group{"Motor", motor}, group{"File", e.file.flags()}, group{"Output", out})
	return cmd
}

// examination is how a motor's health is looked at.
type examination struct {
	ask    question
	file   source
	pairs  int
	radius float64
	stator stator
}

// flags are those about the motor's health.
func (e *examination) flags() *pflag.FlagSet {
	flags := newSet()
	flags.Var(into(&e.pairs, wholeFrom1("N")), "pole-pairs", "pairs of magnet poles, if the recording does not say")
	flags.Var(into(&e.radius, within("MM", 0.1, 1e4)), "sensor-radius", "distance of the sensors from the shaft's axis")
	flags.AddFlagSet(e.stator.flags())
	return flags
}

// inspect judges the motor that paths are about, and its health.
func (e *examination) inspect(cmd *cobra.Command, paths []string) (*present.Answer, *present.Inspection, error) {
	if e.ask.pairs = e.pairs; e.pairs == 0 {
		e.ask.pairs = e.stator.poles / 2
	}
	a, err := e.file.answers(cmd, paths, &e.ask)
	if err != nil {
		return nil, nil, err
	}
	if e.ask.pairs > 0 {
		a.Recording.PolePairs = e.ask.pairs
	}
	if e.radius == 0 {
		e.radius = e.file.settings.SensorRadiusMM
	}
	if err := e.stator.settle(cmd, e.file.settings); err != nil {
		return nil, nil, err
	}
	n := present.NewInspection(a, e.radius)
	return a, n, e.stator.judge(n)
}

// stator is what the person says about the winding.
type stator struct {
	slots, poles int
	layout       string
	starPoint    bool
	connection   *value[string]
}

// settle takes what was not given from the settings file.
func (s *stator) settle(cmd *cobra.Command, set bench.Settings) error {
	if s.slots == 0 {
		s.slots = set.Slots
	}
	if set.Connection != "" && !cmd.Flags().Changed("connection") {
		s.connection.got = set.Connection
	}
	if s.connection.got == "delta" && s.starPoint {
		return usageError{errors.New("a delta has no star point: leave out --star-point or --connection delta")}
	}
	return nil
}

func (s *stator) flags() *pflag.FlagSet {
	flags := newSet()
	flags.Var(into(&s.slots, wholeFrom1("N")), "slots", "slots of the stator, to look for a fault of the winding; with --poles")
	flags.Var(into(&s.poles, wholeFrom1("N")), "poles", "magnets of the rotor")
	flags.StringVar(&s.layout, "layout", "", "the winding as it should be, a `LIST` as for the command winding, if it is not the usual one")
	s.connection = choice("NAME", "star", "delta")
	flags.Var(s.connection, "connection", "star or delta")
	flags.BoolVar(&s.starPoint, "star-point", false, "the phase columns were measured against the star point")
	return flags
}

// delta reports whether the phases lie between the leads.
func (s *stator) delta() bool { return s.connection != nil && s.connection.got == "delta" }

// wound returns the layout that was given, or the usual one.
func (s *stator) wound(m winding.Machine) (winding.Layout, error) {
	if s.layout == "" {
		return m.Layout(), nil
	}
	return m.Parse(s.layout)
}

// judge holds the measured back-EMF against the faults of the winding, where that is
// known, and of the rotor.
func (s *stator) judge(n *present.Inspection) error {
	if n.AtRest {
		return nil
	}
	if s.slots == 0 {
		r, _ := s.rotor(n)
		n.SetRotor(r)
		return nil
	}
	poles := s.poles
	if poles == 0 {
		poles = 2 * n.Recording.PolePairs
	}
	if poles == 0 {
		pairs, certain := n.Spin.FindPolePairs()
		if poles = 2 * pairs; poles > 0 && !certain { // a part of them may be all that shows
			n.PolesNeeded = true
			r, _ := s.rotor(n)
			n.SetRotor(r)
			return nil
		}
	}
	m, err := winding.New(s.slots, poles)
	if err != nil {
		return err
	}
	layout, err := s.wound(m)
	if err != nil {
		return err
	}
	n.Recording.PolePairs = m.PolePairs()
	r, turn := s.rotor(n)
	measured := s.measured(n, r.Shaft)
	if s.delta() {
		measured = measured.AcrossDelta()
	}
	found, err := winding.Diagnose(measured, layout)
	s.magnets(r, turn, layout, found)
	n.SetRotor(r)
	if err != nil {
		return fmt.Errorf("the winding cannot be judged: %w", err)
	}
	n.SetWinding(&present.Diagnosis{Machine: m, Found: found})
	return nil
}
