package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"handspin/capture/board"
	"handspin/cmd/handspin/internal/present"
)

// newPorts returns the command ports, which lists the serial ports.
func newPorts() *cobra.Command {
	cmd := &cobra.Command{
		Use:     "ports",
		Short:   "List the serial ports that a capture board may be at",
		Example: "  handspin ports",
		Args:    noFiles,
		RunE: func(cmd *cobra.Command, _ []string) error {
			ports, err := board.Ports()
			if err != nil {
				return err
			}
			if len(ports) == 0 {
				complain(cmd.ErrOrStderr(), errNoPort, "plug the board in, with a cable that carries data")
			}
			for _, p := range ports {
				if _, err := fmt.Fprintln(cmd.OutOrStdout(), present.Clean(p)); err != nil {
					return err
				}
			}
			return nil
		},
	}
	setFlags(cmd)
	return cmd
}
