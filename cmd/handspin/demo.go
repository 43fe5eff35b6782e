package main

import (
	"bytes"
	"fmt"

	"github.com/spf13/cobra"

	"handspin/capture/csvfile"
	"handspin/capture/open"
	"handspin/testdata"
)

const demoStory = `A hub motor was rewound in a shed to drive a winch for hauling a boat up a slip.
Nobody noted which lead is which. With the capture board on all six leads the
drum was pushed round by hand, five times in six seconds. The recording (a
simulated one) is testdata/demo.csv.gz; what follows is what rank says of it.

`

// newDemo returns the command demo, which ranks the recording in the program.
func newDemo() *cobra.Command {
	var ask question
	var out output
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Rank the wirings of a motor whose recording is in the program",
		Example: `  handspin demo
  handspin demo --all`,
		Args: noFiles,
		RunE: func(cmd *cobra.Command, _ []string) error {
			rec, err := open.Path(open.Stdin, bytes.NewReader(testdata.Demo), csvfile.Options{})
			if err != nil {
				return err
			}
			rec.Name = "demo.csv.gz"
			a, err := ask.answer(rec)
			if err != nil {
				return err
			}
			if out.format.got == "text" {
				fmt.Fprint(cmd.OutOrStdout(), demoStory)
			}
			return out.write(cmd, a)
		},
	}
	setFlags(cmd, group{"Motor and controller", ask.flags()}, group{"Output", out.flags()})
	return cmd
}
