package main

import (
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"handspin/cmd/handspin/internal/present"
	"handspin/commutation/rotor"
	"handspin/commutation/winding"
)

// newMagnets returns the command magnets.
func newMagnets() *cobra.Command {
	s := newSizes()
	format := choice("FORMAT", "text", "markdown", "csv", "json")
	cmd := &cobra.Command{
		Use:   "magnets",
		Short: "Say what flux and constants a motor's sizes should give",
		Long: `magnets computes the flux linkage and the motor constants that magnets, gap and
turns should give, and how far such a formula can be trusted. With --measured it
holds the flux linkage that rank prints against them. The winding is that of
"handspin winding"; sizes are in millimetres.

Arc magnets: give --arc and --gap. Flat blocks on a round iron: give --width and
--iron; the gap then follows, least at the blocks' edges inside a stator.`,
		Example: `  handspin magnets --slots 12 --poles 14 --bore 50 --stack 15 --turns 20 \
      --grade N42 --thickness 3 --arc 0.8 --gap 0.8 --outside
  handspin magnets --slots 12 --poles 10 --bore 56.05 --stack 40 --turns 3 \
      --grade N42 --thickness 3.175 --width 12.7 --iron 46.5 \
      --wire AWG24 --strands 33 --mean-turn 120 --measured 0.0045`,
		Args: noFiles,
		RunE: func(cmd *cobra.Command, _ []string) error {
			m, err := s.magnets(cmd.Flags().Changed)
			if err != nil {
				return err
			}
			write := map[string]func(io.Writer, *present.Magnets) error{
				"text": present.MagnetsText, "markdown": present.MagnetsMarkdown, "csv": present.MagnetsCSV, "json": present.MagnetsJSON,
			}[format.got]
			return write(cmd.OutOrStdout(), m)
		},
	}
	out := newSet()
	out.Var(format, "format", "text, markdown, csv or json")
	setFlags(cmd, append(s.groups(), group{"Output", out})...)
	for _, name := range []string{"slots", "poles", "bore", "stack", "turns", "thickness"} {
		cmd.MarkFlagRequired(name)
	}
	cmd.MarkFlagsMutuallyExclusive("grade", "remanence")
	cmd.MarkFlagsOneRequired("grade", "remanence")
	cmd.MarkFlagsMutuallyExclusive("arc", "width")
	cmd.MarkFlagsOneRequired("arc", "width")
	cmd.MarkFlagsRequiredTogether("width", "iron")
	cmd.MarkFlagsRequiredTogether("arc", "gap")
	cmd.MarkFlagsRequiredTogether("wire", "mean-turn")
	return cmd
}

// sizes is what the command line says about a motor.
type sizes struct {
	slots, poles, turns, paths          *value[int]
	bore, stack, opening                *value[float64]
	grade                               *value[rotor.Grade]
	remanence, hot, thickness, arc, gap *value[float64]
	width, iron                         *value[float64]
	outside                             bool
	wire                                *value[winding.Wire]
	strands                             *value[int]
	meanTurn, celsius, measured         *value[float64]
	connection                          *value[string]
}

func newSizes() *sizes {
	mm := func() *value[float64] { return within("MM", 1e-3, 1e4) }
	return &sizes{
		slots: wholeFrom1("N"), poles: wholeFrom1("N"), turns: wholeFrom1("N"), paths: wholeFrom1("N"), strands: wholeFrom1("N"),
		bore: mm(), stack: mm(), opening: mm(), thickness: mm(), gap: mm(), width: mm(), iron: mm(), meanTurn: mm(),
		grade:     &value[rotor.Grade]{kind: "NAME", parse: rotor.ParseGrade},
		remanence: within("TESLA", 0.01, 2), arc: within("SHARE", 0.01, 1),
		hot: within("C", -60, 200), celsius: within("C", -60, 300),
		wire:       &value[winding.Wire]{kind: "SIZE", parse: winding.ParseWire},
		measured:   within("VS", 1e-9, 1e3),
		connection: choice("NAME", "star", "delta"),
	}
}

// within is a flag that takes a number from low to high.
func within(kind string, low, high float64) *value[float64] {
	return &value[float64]{kind: kind, parse: func(text string) (float64, error) {
		x, err := parseNumber(text)
		if err == nil && (x < low || x > high) {
			err = fmt.Errorf("it is from %g to %g", low, high)
		}
		return x, err
	}}
}

// wholeFrom1 is a flag that takes a whole number from 1 on.
func wholeFrom1(kind string) *value[int] {
	return &value[int]{kind: kind, parse: func(text string) (int, error) {
		x, err := parseNumber(text)
		if err != nil || x != math.Trunc(x) || x < 1 || x > 1e6 {
			return 0, fmt.Errorf("%q is not a whole number from 1 to 1000000", text)
		}
		return int(x), nil
	}}
}

func (s *sizes) groups() []group {
	motor, magnets, wire, check := newSet(), newSet(), newSet(), newSet()
	s.motorFlags(motor)
	magnets.Var(s.grade, "grade", "of neodymium magnets, such as N42")
	magnets.Var(s.remanence, "remanence", "of other magnets")
	magnets.Var(s.hot, "magnet-celsius", "temperature of the magnets (20 if not given)")
	magnets.Var(s.thickness, "thickness", "of a magnet, along its field")
	magnets.Var(s.arc, "arc", "of the pole that an arc magnet covers, such as 0.85")
	magnets.Var(s.gap, "gap", "between arc magnet and stator")
	magnets.Var(s.width, "width", "of a flat block")
	magnets.Var(s.iron, "iron", "diameter of the iron that flat blocks sit on: the core, or the inside of a ring")
	wire.Var(s.wire, "wire", "bare strand, such as AWG24 or 0.5mm")
	wire.Var(s.strands, "strands", "in parallel (1 if not given)")
	wire.Var(s.meanTurn, "mean-turn", "mean length of a turn")
	wire.Var(s.celsius, "celsius", "temperature of the wire (20 if not given)")
	check.Var(s.measured, "measured", "flux linkage that was measured, in V s (rank prints mV s)")
	return []group{{"Motor", motor}, {"Magnets", magnets}, {"Wire", wire}, {"Check", check}}
}

func (s *sizes) motorFlags(set *pflag.FlagSet) {
	set.Var(s.slots, "slots", "of the stator")
	set.Var(s.poles, "poles", "of the rotor")
	set.Var(s.bore, "bore", "diameter of the stator at the gap")
	set.Var(s.stack, "stack", "length of the stator's iron")
	set.Var(s.opening, "slot-opening", "width of a slot at the gap")
	set.BoolVar(&s.outside, "outside", false, "the rotor is around the stator")
	set.Var(s.turns, "turns", "on each tooth")
	set.Var(s.paths, "paths", "parallel branches of a phase (1 if not given)")
	set.Var(s.connection, "connection", "star or delta")
}

// magnets works the motor out; given says which flags were.
func (s *sizes) magnets(given func(string) bool) (*present.Magnets, error) {
	m, err := winding.New(s.slots.got, s.poles.got)
	if err != nil {
		return nil, err
	}
	l := m.Layout()
	coils := l.Count()[0]
	paths := max(s.paths.got, 1)
	if coils%paths != 0 {
		return nil, usageError{fmt.Errorf("the %d coils of a phase cannot make %d equal paths", coils, paths)}
	}
	out := &present.Magnets{Delta: s.connection.got == "delta", MeasuredVS: math.NaN(), Celsius: 20}
	turned := winding.PhaseWire{
		Wire: s.wire.got, Strands: max(s.strands.got, 1), Paths: paths,
		Coils: coils, Turns: float64(s.turns.got), MeanTurnM: s.meanTurn.got / 1000,
	}
	out.Design = rotor.Design{
		Magnet: s.magnet(given), PolePairs: m.PolePairs(), Slots: m.Slots(),
		StatorM: s.bore.got / 1000, StackM: s.stack.got / 1000, SlotOpeningM: s.opening.got / 1000,
		Turns: turned.SeriesTurns(), WindingFactor: l.Factor(0, 1).Winding,
	}
	if err := s.pole(out, given); err != nil {
		return nil, usageError{err}
	}
	if err := out.Design.Check(); err != nil {
		return nil, usageError{err}
	}
	if given("wire") {
		out.Wire = &turned
	}
	if given("celsius") {
		out.Celsius = s.celsius.got
	}
	if given("measured") {
		out.MeasuredVS = s.measured.got
	}
	out.Notes = s.notes(given)
	return out, nil
}

func (s *sizes) magnet(given func(string) bool) rotor.Magnet {
	remanence := s.remanence.got
	if given("grade") {
		remanence = s.grade.got.RemanenceT()
	}
	if given("magnet-celsius") {
		remanence = rotor.Warm(remanence, s.hot.got)
	}
	return rotor.Magnet{RemanenceT: remanence, Recoil: rotor.RecoilNdFeB, ThicknessM: s.thickness.got / 1000}
}

// pole sets the design's pole.
func (s *sizes) pole(out *present.Magnets, given func(string) bool) error {
	if given("arc") {
		out.Design.Pole = rotor.Arc(s.gap.got/1000, s.arc.got)
		return nil
	}
	if given("gap") {
		return errors.New("the gap of flat blocks follows from --iron, --thickness and --bore: leave out --gap")
	}
	out.Blocks = &rotor.Blocks{
		WidthM: s.width.got / 1000, ThicknessM: s.thickness.got / 1000, IronM: s.iron.got / 1000,
		StatorM: s.bore.got / 1000, PolePairs: s.poles.got / 2, Outside: s.outside,
	}
	if err := out.Blocks.Check(); err != nil {
		return err
	}
	out.Design.Pole = out.Blocks.Pole()
	return nil
}

// notes says what was assumed.
func (s *sizes) notes(given func(string) bool) []string {
	var notes []string
	if given("grade") {
		g := s.grade.got
		notes = append(notes, fmt.Sprintf("%s is sold with %.2f to %.2f T at 20 degrees Celsius; the middle is used", g.Name, g.LowestT, g.HighestT))
	} else {
		notes = append(notes, fmt.Sprintf("a recoil permeability of %.2f is assumed, that of neodymium magnets", rotor.RecoilNdFeB))
	}
	if !given("slot-opening") {
		notes = append(notes, "no slot openings were given, so the stator counts as smooth; openings cost a few percent")
	}
	if given("width") {
		seat := "in its middle on a round core"
		if s.outside {
			seat = "with its edges on a round ring"
		}
		notes = append(notes, "each block is taken to rest "+seat+", with glue and not iron in what is left between them")
	}
	return append(notes, "the winding is the right one, all coils of a path in series")
}
