package main

import (
	_ "embed"
	"io"

	"github.com/spf13/cobra"
)

//go:embed guide.md
var manual string

// newManual returns the command guide, which prints the guide for beginners.
func newManual() *cobra.Command {
	cmd := &cobra.Command{
		Use:     "guide",
		Short:   "Print the guide from a motor and a controller to a motor that runs",
		Example: "  handspin guide",
		Args:    noFiles,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := io.WriteString(cmd.OutOrStdout(), manual)
			return err
		},
	}
	setFlags(cmd)
	return cmd
}
