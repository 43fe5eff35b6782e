package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"handspin/capture/csvfile"
	"handspin/capture/open"
	"handspin/cmd/handspin/internal/present"
	"handspin/commutation"
)

// newRank returns the command rank, the main job.
func newRank() *cobra.Command {
	var ask question
	var out output
	var read csvfile.Options
	cmd := &cobra.Command{
		Use:   "rank FILE",
		Short: "Rank the 36 wirings from a recorded hand spin",
		Long: `rank reads the recording in FILE (- is standard input, gzip is unpacked) and
ranks the 36 ways to wire the motor's phase and Hall leads to the controller.`,
		Args: oneFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			rec, err := open.Path(args[0], cmd.InOrStdin(), read)
			if err != nil {
				return err
			}
			a, err := ask.answer(rec)
			if err != nil {
				return err
			}
			return out.write(cmd, a)
		},
	}
	file := newSet()
	file.StringVar(&read.Columns, "columns", "",
		"which column is which, for files with other names: a `MAP` such as t=Time:ms,h1=D0,p1=3 (name or number, unit of t)")
	file.Float64Var(&read.SampleRate, "sample-rate", 0, "rows per second in `HZ`, for files without a time column")
	setFlags(cmd, group{"Motor and controller", ask.flags()}, group{"File", file}, group{"Output", out.flags()})
	return cmd
}

// output is how an answer is printed.
type output struct {
	format *value[string]
	all    bool
}

func (o *output) flags() *pflag.FlagSet {
	flags := newSet()
	o.format = choice("FORMAT", "text", "markdown", "csv", "json")
	flags.BoolVar(&o.all, "all", false, "list all 36 wirings, not only the clean ones")
	flags.Var(o.format, "format", "text, markdown, csv or json")
	return flags
}

func (o *output) write(cmd *cobra.Command, a *present.Answer) error {
	write := map[string]func(io.Writer, *present.Answer, bool) error{
		"text": present.Text, "markdown": present.Markdown, "csv": present.CSV, "json": present.JSON,
	}[o.format.got]
	if o.format.got == "csv" && a.Verdict != commutation.Ranked {
		// A list without words must not pass for one that holds.
		fmt.Fprintf(cmd.ErrOrStderr(), "handspin: %s\n", a.Headline())
	}
	return write(cmd.OutOrStdout(), a, o.all)
}
