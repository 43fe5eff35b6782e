package main

import (
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"handspin/cmd/handspin/internal/present"
	"handspin/commutation"
)

// newRank returns the command rank, the main job.
func newRank() *cobra.Command {
	var ask question
	var out output
	var file source
	var s session
	var keep string
	cmd := &cobra.Command{
		Use:   "rank FILE... | rank --each FILE... | rank --port PORT",
		Short: "Rank the 36 wirings from a recorded hand spin",
		Long: `rank reads the recording in FILE (- is standard input, gzip is unpacked) and
ranks the 36 ways to wire the motor's phase and Hall leads to the controller.
Several files are recordings of one motor, made one after another with fewer
inputs than leads and all spun the same way: they are joined by angle on the
Hall leads that they share, or by time where they are channels of one
instrument; with a file for each channel of each spin, give them spin by spin.
A FILE.toml names them, with columns and spins of their own, and the leads and
the controller. With --port it records with the capture board until that
tells enough, or until Ctrl-C, and ranks that.

With --each every FILE is a motor of its own, and the answer a line for each, in
the order of the files, as CSV or with --format jsonl. A file that cannot be
read gets a line that says so, and the exit status is 1 then.`,
		Example: `  handspin rank motor.csv
  handspin rank motor.toml
  handspin rank motor.csv --controller table.csv --format json
  handspin rank --each stand/*.csv --format csv`,
		Args: func(cmd *cobra.Command, args []string) error {
			if err := out.check(s.port != ""); err != nil {
				return err
			}
			if err := s.check(cmd, args, "keep"); err != nil || s.port != "" {
				return err
			}
			return someFiles(cmd, args)
		},
		RunE: func(cmd *cobra.Command, args []string) (err error) {
			if out.each {
				return rankEach(cmd, args, file, ask, out.format.got)
			}
			var a *present.Answer
			if s.port != "" {
				a, err = live(cmd, &s, &ask, keep)
			} else {
				a, err = file.answers(cmd, args, &ask)
			}
			if err != nil {
				return err
			}
			return out.write(cmd, a)
		},
	}
	port := s.flags()
	port.StringVar(&keep, "keep", "", "write the recording to `FILE`, too")
	printing := out.flags()
	printing.BoolVar(&out.each, "each", false, "every file is a motor of its own: a line for each, as csv or jsonl")
	setFlags(cmd, group{"Motor and controller", ask.flags()}, group{"File", file.flags()},
		group{"Capture board", port}, group{"Output", printing})
	s.complete(cmd)
	return cmd
}

// output is how an answer is printed.
type output struct {
	format *value[string]
	all    bool
	each   bool
	color  *value[string]
}

func (o *output) flags() *pflag.FlagSet {
	flags := newSet()
	o.format = choice("FORMAT", "text", "markdown", "csv", "json", "jsonl")
	flags.BoolVar(&o.all, "all", false, "list all 36 wirings, not only the clean ones")
	flags.Var(o.format, "format", "text, markdown, csv or json; jsonl is json on one line")
	o.color = colors()
	flags.Var(o.color, "color", "auto, always or never: auto is on a terminal, unless NO_COLOR is set")
	return flags
}

// check refuses flags that do not go together.
func (o *output) check(live bool) error {
	switch {
	case !o.each:
		return nil
	case live:
		return errors.New("--each is for files, --port records one motor: give one of them")
	case o.format.text != "csv" && o.format.text != "jsonl" && o.format.text != "text":
		return fmt.Errorf("--each prints csv or jsonl, not %s", o.format.got)
	}
	return nil
}

func (o *output) write(cmd *cobra.Command, a *present.Answer) error {
	write := map[string]func(io.Writer, *present.Answer, bool) error{
		"text": present.Text, "markdown": present.Markdown, "csv": present.CSV, "json": present.JSON, "jsonl": present.JSONLine,
	}[o.format.got]
	if o.format.got == "csv" && a.Verdict != commutation.Ranked {
		// A list without words must not pass for one that holds.
		fmt.Fprintf(cmd.ErrOrStderr(), "handspin: %s\n", a.Headline())
	}
	a.Screen = screenOf(cmd.OutOrStdout(), o.color.got)
	return write(cmd.OutOrStdout(), a, o.all)
}
