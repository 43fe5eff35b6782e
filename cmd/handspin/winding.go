package main

import (
	"io"
	"strconv"

	"github.com/spf13/cobra"

	"handspin/cmd/handspin/internal/present"
	"handspin/commutation/winding"
)

// newWinding returns the command winding.
func newWinding() *cobra.Command {
	slots, poles := wholeFrom1("N"), wholeFrom1("N")
	var layout string
	spacing := choice("DEG", "120", "60")
	format := choice("FORMAT", "text", "markdown", "csv", "json")
	cmd := &cobra.Command{
		Use:   "winding",
		Short: "Lay out a winding, check one, and say where the Hall sensors go",
		Long: `winding says which coil goes on which tooth of a stator with one coil per tooth,
how good that winding is, and where Hall sensors go. With --layout it checks a
winding as it is, tooth by tooth, and names the teeth that are wrong; it then
exits with status 1.`,
		Example: `  handspin winding --slots 12 --poles 10
  handspin winding --slots 9 --poles 8 --layout "+A -A +A +B +B +B +C -C +C"
  handspin winding --slots 12 --poles 14 --layout AacCBbaACcbB --spacing 60`,
		Args: noFiles,
		RunE: func(cmd *cobra.Command, _ []string) error {
			w, err := layOut(slots.got, poles.got, layout, spacing.got)
			if err != nil {
				return err
			}
			write := map[string]func(io.Writer, *present.Winding) error{
				"text": present.WindingText, "markdown": present.WindingMarkdown, "csv": present.WindingCSV, "json": present.WindingJSON,
			}[format.got]
			if err := write(cmd.OutOrStdout(), w); err != nil {
				return err
			}
			if !w.OK() {
				return errNo
			}
			return nil
		},
	}
	stator, out := newSet(), newSet()
	stator.Var(slots, "slots", "of the stator, as many as teeth")
	stator.Var(poles, "poles", "of the rotor, as many as magnets")
	stator.StringVar(&layout, "layout", "", `the winding to check, a `+"`LIST`"+` such as "+A -A -B +B ..." or AabB...; 0 is a tooth without coil`)
	stator.Var(spacing, "spacing", "electrical degrees between the sensors: 120 or 60")
	out.Var(format, "format", "text, markdown, csv (the coils) or json")
	setFlags(cmd, group{"Motor", stator}, group{"Output", out})
	cmd.MarkFlagRequired("slots")
	cmd.MarkFlagRequired("poles")
	return cmd
}

// layOut works out a winding, and checks layout where it is not empty.
func layOut(slots, poles int, layout, spacing string) (*present.Winding, error) {
	m, err := winding.New(slots, poles)
	if err != nil {
		return nil, err
	}
	deg, err := strconv.Atoi(spacing)
	if err != nil {
		return nil, err
	}
	if layout == "" {
		return present.NewWinding(m, nil, deg), nil
	}
	given, err := m.Parse(layout)
	if err != nil {
		return nil, err
	}
	return present.NewWinding(m, &given, deg), nil
}
