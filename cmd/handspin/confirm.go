package main

import (
	"errors"
	"io"

	"github.com/spf13/cobra"

	"handspin/cmd/handspin/internal/present"
)

// errNo is the answer no: it is on stdout, and only the exit status is left.
var errNo = errors.New("the answer is no")

// newConfirm returns the command confirm, the proof after wiring.
func newConfirm() *cobra.Command {
	var ask question
	var file source
	format := choice("FORMAT", "text", "markdown", "csv", "json")
	cmd := &cobra.Command{
		Use:   "confirm FILE",
		Short: "Check a finished wiring: pass, or the leads to exchange",
		Long: `confirm reads the recording of a second hand spin, made with the board's probes
at the controller's plug: p1 p2 p3 at U V W and h1 h2 h3 at HU HV HW. Pull the
plug from the controller and probe the motor's half, with the sensors' supply
and pull-ups in place. Forward is the way this spin is turned. It passes only if
the motor, as it is connected, runs cleanly forward beyond doubt; without
--controller that holds if the table is the typical one, which is assumed.
Otherwise it exits with status 1 and names the fewest leads to exchange.`,
		Example: `  handspin confirm plugged.csv
  handspin confirm plugged.csv --controller table.csv`,
		Args: oneFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			a, err := file.answer(cmd, args[0], &ask)
			if err != nil {
				return err
			}
			if a.AtRest {
				return refusal(a, "rest positions prove no wiring: which way the motor turns was not seen",
					"spin the rotor forward by hand with the probes at the controller's plug, and record that")
			}
			c := present.NewConfirmation(a)
			write := map[string]func(io.Writer, *present.Confirmation) error{
				"text": present.ConfirmationText, "markdown": present.ConfirmationMarkdown, "csv": present.ConfirmationCSV, "json": present.ConfirmationJSON,
			}[format.got]
			if err := write(cmd.OutOrStdout(), c); err != nil {
				return err
			}
			if !c.Pass {
				return errNo
			}
			return nil
		},
	}
	out := newSet()
	out.Var(format, "format", "text, markdown, csv or json")
	setFlags(cmd, group{"Motor and controller", ask.flags()}, group{"File", file.flags()}, group{"Output", out})
	return cmd
}
