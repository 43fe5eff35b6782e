package main

import (
	"io"

	"github.com/spf13/cobra"

	"handspin/cmd/handspin/internal/present"
)

// newTable returns the command table, which prints the motor's own drive table.
func newTable() *cobra.Command {
	var ask question
	var file source
	var reverse bool
	format := choice("FORMAT", "text", "markdown", "csv", "c", "json")
	cmd := &cobra.Command{
		Use:   "table FILE",
		Short: "Print the motor's own drive table, for those who write firmware",
		Long: `table says which leads to drive at each state of the Hall leads, as measured:
in each state the pair of leads that gives the most torque. FILE is the
recording of a hand spin, or a table of rest positions, by which it is coarser.
The CSV form is what --controller reads, with p1 p2 p3 at U V W and h1 h2 h3 at
HU HV HW.`,
		Example: `  handspin table motor.csv
  handspin table motor.csv --format c`,
		Args: motorFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			a, err := file.answer(cmd, args[0], &ask)
			if err != nil {
				return err
			}
			if err := fit(a, "a drive table"); err != nil {
				return err
			}
			write := map[string]func(io.Writer, *present.Own) error{
				"text": present.OwnText, "markdown": present.OwnMarkdown, "csv": present.OwnCSV, "c": present.OwnC, "json": present.OwnJSON,
			}[format.got]
			return write(cmd.OutOrStdout(), present.NewOwn(a, reverse))
		},
	}
	out := newSet()
	out.BoolVar(&reverse, "reverse", false, "the CSV form is for reverse; all others have both directions")
	out.Var(format, "format", "text, markdown, csv, c or json")
	setFlags(cmd, group{"Motor", ask.motorFlags()}, group{"File", file.flags()}, group{"Output", out})
	return cmd
}
