package main

import (
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"handspin/capture"
	"handspin/capture/open"
	"handspin/cmd/handspin/internal/present"
	"handspin/commutation/spin"
)

// newCompare returns the command compare: what changed between two recordings.
func newCompare() *cobra.Command {
	var file source
	format := choice("FORMAT", "text", "json")
	cmd := &cobra.Command{
		Use:   "compare FILE FILE",
		Short: "Say what changed between two recordings",
		Long: `compare holds two recordings against one another: the same stator with another
rotor, or a motor before and after a change. It says whether the rotor, the
winding, the sensors, several of them or nothing changed. The leads must be the
same ones in both; which way the rotor was spun need not be.`,
		Example: `  handspin compare before.csv after.csv`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 2 {
				return fmt.Errorf("compare takes two FILEs, not %d", len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			var recs [2]*capture.Recording
			for i, path := range args {
				rec, err := open.Path(path, cmd.InOrStdin(), file.read)
				if err != nil {
					return err
				}
				recs[i] = rec
			}
			a, b := spin.Analyse(recs[0], spin.Options{}), spin.Analyse(recs[1], spin.Options{})
			opposite := !slices.Equal(a.PhaseOrder, b.PhaseOrder)
			if opposite {
				// Spun the other way: the same motor seen backward.
				b = spin.Analyse(recs[1], spin.Options{Backward: true})
			}
			write := map[string]func(io.Writer, *present.Comparison) error{"text": present.CompareText, "json": present.CompareJSON}[format.got]
			return write(cmd.OutOrStdout(), &present.Comparison{
				First: recs[0], Second: recs[1], A: a, B: b, Found: spin.Compare(a, b, opposite),
			})
		},
	}
	out := newSet()
	out.Var(format, "format", "text or json")
	setFlags(cmd, group{"File", file.flags()}, group{"Output", out})
	return cmd
}
