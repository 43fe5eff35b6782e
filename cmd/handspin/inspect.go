package main

import (
	"io"

	"github.com/spf13/cobra"

	"handspin/cmd/handspin/internal/present"
)

// newInspect returns the command inspect, the motor's health in full.
func newInspect() *cobra.Command {
	var ask question
	var file source
	var pairs int
	var radius float64
	format := choice("FORMAT", "text", "json")
	cmd := &cobra.Command{
		Use:   "inspect FILE...",
		Short: "Say whether sensors and phases are sound",
		Long: `inspect says what a recorded hand spin tells of a motor's health: the sensors'
places, levels and hysteresis, the back-EMF of the phases, and the motor's
constants where volts and pole pairs are known. FILE is as for rank.`,
		Args: someFiles,
		RunE: func(cmd *cobra.Command, args []string) error {
			a, err := file.answers(cmd, args, &ask)
			if err != nil {
				return err
			}
			if pairs > 0 {
				a.Recording.PolePairs = pairs
			}
			write := map[string]func(io.Writer, *present.Inspection) error{"text": present.InspectText, "json": present.InspectJSON}[format.got]
			return write(cmd.OutOrStdout(), present.NewInspection(a, radius))
		},
	}
	motor := ask.motorFlags()
	motor.IntVar(&pairs, "pole-pairs", 0, "`N` pairs of magnet poles, if the recording does not say")
	motor.Float64Var(&radius, "sensor-radius", 0, "distance of the sensors from the shaft's axis in `MM`")
	out := newSet()
	out.Var(format, "format", "text or json")
	setFlags(cmd, group{"Motor", motor}, group{"File", file.flags()}, group{"Output", out})
	return cmd
}
