package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"handspin/capture/board"
	"handspin/cmd/handspin/internal/present"
	"handspin/firmware"
)

// newFirmware returns the command firmware, which hands out the board's program.
func newFirmware() *cobra.Command {
	var path string
	var force bool
	cmd := &cobra.Command{
		Use:   "firmware --save FILE.hex",
		Short: "Write the capture board's program, and say how to load it",
		Long: `firmware writes the program of the capture board, for the common boards with an
ATmega328P at 16 MHz, and prints how to load it with avrdude.`,
		Example: "  handspin firmware --save board.hex",
		Args:    noFiles,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := board.Vacant(path); err != nil && !force {
				return err
			}
			err := create(path, func(w io.Writer) error {
				_, err := w.Write(firmware.Image)
				return err
			})
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), loading, shellWord(present.Clean(path)))
			return err
		},
	}
	flags := newSet()
	flags.StringVar(&path, "save", "", "write the program to `FILE`")
	flags.BoolVar(&force, "force", false, "overwrite the file if it is there")
	setFlags(cmd, group{"Output", flags})
	cmd.MarkFlagRequired("save")
	return cmd
}

const loading = `Load it with one of these, PORT being the board's (handspin ports lists them):
  Uno, and Nano of 2018 or later:
    avrdude -p atmega328p -c arduino -b 115200 -D -P PORT -U flash:w:%[1]s:i
  Nano with the old boot loader:
    avrdude -p atmega328p -c arduino -b 57600 -D -P PORT -U flash:w:%[1]s:i
`
