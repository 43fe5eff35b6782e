package main

import (
	"compress/gzip"
	"encoding/json"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"handspin/capture"
	"handspin/capture/csvfile"
	"handspin/capture/synth"
)

// newSimulate returns the command simulate, which makes recordings whose answer
// is known.
func newSimulate() *cobra.Command {
	p := newPlan()
	var out, truth string
	cmd := &cobra.Command{
		Use:   "simulate",
		Short: "Write the recording of a synthetic motor, and its true answer",
		Long: `simulate turns a synthetic motor and writes what a capture board would record.
A plausible motor, spin and front end are drawn by the seed; each flag replaces
the part that it names.`,
		Example: `  handspin simulate --seed 3 -o spin.csv
  handspin simulate --seed 3 --stuck-low h2 --truth truth.json | handspin rank -`,
		Args: noFiles,
		RunE: func(cmd *cobra.Command, _ []string) error {
			config, err := p.config()
			if err == nil {
				err = config.Check()
			}
			if err != nil {
				return usageError{err}
			}
			rec, known := config.Record()
			rec.Leads = p.leads.got
			if err := writeRecording(cmd.OutOrStdout(), out, rec); err != nil {
				return err
			}
			return writeTruth(truth, known)
		},
	}
	groups := p.groups()
	groups[0].flags.StringVarP(&out, "output", "o", "", "write the recording to `FILE` instead of standard output, packed if it ends in .gz")
	groups[0].flags.StringVar(&truth, "truth", "", "write the true answer to `FILE` as JSON")
	setFlags(cmd, groups...)
	cmd.MarkFlagsMutuallyExclusive("pushes", "back-and-forth", "drill", "turns")
	return cmd
}

// writeRecording writes to the file at path, or to stdout where path is empty.
func writeRecording(stdout io.Writer, path string, rec *capture.Recording) error {
	if path == "" {
		return csvfile.Write(stdout, rec)
	}
	return create(path, func(w io.Writer) error {
		if !strings.HasSuffix(path, ".gz") {
			return csvfile.Write(w, rec)
		}
		packed, err := gzip.NewWriterLevel(w, gzip.BestCompression)
		if err != nil {
			return err
		}
		if err := csvfile.Write(packed, rec); err != nil {
			return err
		}
		return packed.Close()
	})
}

func writeTruth(path string, truth synth.Truth) error {
	if path == "" {
		return nil
	}
	text, err := json.MarshalIndent(truth, "", " ")
	if err != nil {
		return err
	}
	return create(path, func(w io.Writer) error {
		_, err := w.Write(append(text, '\n'))
		return err
	})
}
