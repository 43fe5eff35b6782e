package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"math/cmplx"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"handspin/cmd/handspin/internal/bench"
	"handspin/cmd/handspin/internal/present"
	"handspin/commutation/spin"
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
	if s.layout != "" && s.slots == 0 {
		return usageError{errors.New("--layout is of a stator whose teeth are counted: give --slots N, too")}
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
	if err != nil && s.poles == 0 { // the number of poles is the recording's
		r, _ := s.rotor(n)
		n.SetRotor(r)
		n.SetWinding(&present.Diagnosis{Untested: err.Error()})
		return nil
	}
	if err != nil {
		return err
	}
	layout, err := s.wound(m)
	if err != nil {
		return err
	}
	n.Recording.PolePairs = m.PolePairs()
	r, turn := s.rotor(n)
	d := s.diagnose(n, r.Shaft, layout)
	if layout.OfTeeth() {
		s.magnets(r, turn, layout, d.Found)
	}
	n.SetRotor(r)
	n.SetWinding(d)
	return nil
}

// What keeps a winding from being judged.
const (
	severalTeeth  = "a coil of one tooth would link little flux in this machine: such are wound with coils over several teeth, and only coils of one tooth are known here"
	noFundamental = "the leads do not show the part of the back-EMF that repeats with each pair of poles, by which a winding is judged; " +
		"two neighbouring magnets exchanged, or one the wrong way up, can drown it: see with magnetic viewing film or a compass whether north and south take turns all the way round"
)

// otherwise is the difference between phases over whole turns of the shaft and over the
// recording from which on one of the two is wrong, relative to the phases. Uneven magnets
// make a few percent, where the recording's last turn is not a whole one.
const otherwise = 0.15

// contradicts says so.
const contradicts = "the phases come out otherwise over the turn of the shaft than over the recording; record again by hand, through whole turns at a changing speed"

// disagreement returns how far apart two sets of leads are but for strength and time, relative
// to their size, without what the leads have in common.
func disagreement(a, b [3]complex128) float64 {
	a, b = winding.Floated(a), winding.Floated(b)
	var ab, aa, bb float64
	var cross complex128
	for i := range a {
		cross += a[i] * cmplx.Conj(b[i])
		aa += real(a[i] * cmplx.Conj(a[i]))
		bb += real(b[i] * cmplx.Conj(b[i]))
	}
	if ab = cmplx.Abs(cross); aa == 0 || bb == 0 {
		return 0 // which is not for this to say
	}
	return math.Sqrt(max(0, 1-ab*ab/(aa*bb)))
}

// vague is the standard deviation of a phase, relative to its size, from which on single
// coils do not show: of a dozen teeth one makes a quarter of a phase, which is then five.
const vague = 0.05

// diagnose is what the back-EMF says about the winding, over whole turns of the shaft
// where there are any.
func (s *stator) diagnose(n *present.Inspection, shaft *spin.Shaft, layout winding.Layout) *present.Diagnosis {
	measured := s.measured(n, shaft)
	if shaft != nil && disagreement(measured.EMF, n.Spin.EMF) > otherwise {
		return &present.Diagnosis{Untested: contradicts}
	}
	if s.delta() {
		measured = measured.AcrossDelta()
	}
	d := &present.Diagnosis{Layout: layout, Delta: s.delta(), Whole: shaft != nil}
	var err error
	d.Found, err = winding.Diagnose(measured, layout)
	switch {
	case errors.Is(err, winding.ErrNothing):
		d.Untested = noFundamental
	case err != nil:
		d.Untested = err.Error()
	case !layout.OfTeeth():
		d.Untested = severalTeeth
		d.Found = winding.Diagnosis{Off: d.Found.Off, OffSD: d.Found.OffSD}
	case d.Found.OffSD > vague:
		d.Untested = fmt.Sprintf("the recording tells the phases to ±%.0f %% of their size only; turn the rotor further, and faster", 100*d.Found.OffSD)
		d.Found = winding.Diagnosis{}
	}
	return d
}
