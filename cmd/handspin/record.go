package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"handspin/capture"
	"handspin/capture/board"
	"handspin/cmd/handspin/internal/present"
)

// newRecord returns the command record, which writes what a capture board sends.
func newRecord() *cobra.Command {
	var s session
	var path string
	var force, enough bool
	leads := value[capture.Leads]{kind: "p1=NAME,...", parse: capture.ParseLeads}
	cmd := &cobra.Command{
		Use:   "record --port PORT -o FILE",
		Short: "Record a hand spin with the capture board",
		Long: `record writes what the capture board sends, and says meanwhile what is still
missing. Push the rotor round, both ways if you like; end it with Ctrl-C.`,
		Example: "  handspin record --port /dev/ttyUSB0 -o motor.csv\n  handspin record --port COM5 -o motor.csv --until-enough",
		Args: func(cmd *cobra.Command, args []string) error {
			if err := s.check(cmd, args, "output"); err != nil {
				return err
			}
			return noFiles(cmd, args)
		},
		RunE: func(cmd *cobra.Command, _ []string) (err error) {
			s.leads = leads.got
			if err := board.Vacant(path); err != nil && !force {
				return err // before the person spins in vain
			}
			if err := board.Writable(path); err != nil {
				return err
			}
			b, err := s.open(cmd.Context())
			if err != nil {
				return err
			}
			defer b.Close()
			log, err := board.Create(path, force)
			if err != nil {
				return err
			}
			var ask question
			ask.flags() // the usual answers
			g := newGuide(cmd.ErrOrStderr(), ask, enough)
			err = s.record(cmd.Context(), b, log, g)
			g.end()
			if closing := log.Close(); err == nil {
				err = closing
			}
			summary(cmd.ErrOrStderr(), present.Clean(path), g)
			if err != nil {
				complain(cmd.ErrOrStderr(), err, hintOf(err))
				err = errTold
			}
			fmt.Fprintf(cmd.ErrOrStderr(), "handspin: rank the wirings with: handspin rank %s\n", shellWord(present.Clean(path)))
			return err
		},
	}
	flags := s.flags()
	flags.StringVarP(&path, "output", "o", "", "write the recording to `FILE`")
	flags.BoolVar(&force, "force", false, "overwrite the file if it is there")
	flags.BoolVar(&enough, "until-enough", false, "end by itself when the recording tells enough")
	flags.Var(&leads, "leads", "your own names of the leads, as in p1=yellow,h1=white")
	setFlags(cmd, group{"Recording", flags})
	s.complete(cmd)
	cmd.MarkFlagRequired("port")
	cmd.MarkFlagRequired("output")
	return cmd
}
