package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"handspin/cmd/handspin/internal/present"
)

// newCompare returns the command compare: what changed between two recordings.
func newCompare() *cobra.Command {
	var file source
	format, pairs := choice("FORMAT", "text", "json"), wholeFrom1("N")
	cmd := &cobra.Command{
		Use:   "compare FILE FILE",
		Short: "Say what changed between two recordings",
		Long: `compare holds two recordings against one another: a motor before and after a
repair, or the same stator with another rotor. It says whether the rotor, the
winding, the sensors, the leads, several of them or nothing changed, what is
nearer to sound than before and what is further from it, and what the two do not
tell. The leads should be the same ones in both; which way the rotor was spun
need not be, but sensors are compared as a whole only where both were spun the
same way, or one of them both ways. A FILE is a recording, or a settings file
that names several of one motor.`,
		Example: `  handspin compare before.csv after.csv`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 2 {
				return fmt.Errorf("compare takes two FILEs, not %d", len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			var both [2]*present.Answer
			for i := range args {
				ask := question{spun: choice("WAY", "forward", "backward")}
				a, err := file.answers(cmd, args[i:i+1], &ask)
				if err != nil {
					return err
				}
				if a.AtRest {
					return refusal(a, "rest positions do not show what changed: they are too coarse", "record the motor while you spin it by hand, before and after")
				}
				if pairs.got > 0 {
					a.Recording.PolePairs = pairs.got
				}
				both[i] = a
			}
			if first, second := both[0].Recording, both[1].Recording; first.Repeats(second) {
				return hinted{fmt.Errorf("%s and %s hold the same recording", first.Name, second.Name), "a copy shows no change: record the motor again, and keep both files"}
			}
			write := map[string]func(io.Writer, *present.Comparison) error{"text": present.CompareText, "json": present.CompareJSON}[format.got]
			return write(cmd.OutOrStdout(), present.NewComparison(both[0], both[1]))
		},
	}
	motor, out := newSet(), newSet()
	motor.Var(pairs, "pole-pairs", "pairs of magnet poles, for magnets one by one, if the recordings do not say")
	out.Var(format, "format", "text or json")
	setFlags(cmd, group{"Motor", motor}, group{"File", file.flags()}, group{"Output", out})
	return cmd
}
