package main

import (
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"handspin/cmd/handspin/internal/bench"
	"handspin/cmd/handspin/internal/present"
)

// newReport returns the command report, which writes the answer as one page.
func newReport() *cobra.Command {
	var e examination
	var path string
	var force bool
	cmd := &cobra.Command{
		Use:   "report FILE... -o PAGE.html",
		Short: "Write the answer with pictures as one page to keep or print",
		Long: `report writes what rank and inspect say, with pictures of what was recorded, as
one HTML page that needs nothing else: to keep with the motor, to send, to
print. FILE is as for rank.`,
		Example: `  handspin report motor.csv -o motor.html
  handspin report motor.csv --slots 12 --poles 14 -o motor.html`,
		Args: someFiles,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := spare(path, args, force); err != nil {
				return err
			}
			a, n, err := e.inspect(cmd, args)
			if err != nil {
				return err
			}
			write := func(w io.Writer) error { return present.Report(w, a, n, version()) }
			if path == "-" {
				return write(cmd.OutOrStdout())
			}
			return create(path, write)
		},
	}
	motor := e.ask.flags()
	motor.AddFlagSet(e.flags())
	out := newSet()
	out.StringVarP(&path, "output", "o", "", "write the page to `FILE`, or to standard output if that is -")
	out.BoolVar(&force, "force", false, "overwrite the file even if it is no report")
	setFlags(cmd, group{"Motor and controller", motor}, group{"File", e.file.flags()}, group{"Output", out})
	cmd.MarkFlagRequired("output")
	return cmd
}

// spare returns an error where writing to path would cost the person something: a
// recording that is read, or without force anything else that is no report.
func spare(path string, inputs []string, force bool) error {
	if path == "" {
		return usageError{errors.New("--output is empty")}
	}
	there, err := os.Stat(path)
	if err != nil || path == "-" || !there.Mode().IsRegular() {
		return nil
	}
	read, err := inputsOf(inputs)
	if err != nil {
		return err
	}
	for _, name := range read {
		if info, err := os.Stat(name); err == nil && os.SameFile(there, info) {
			return usageError{fmt.Errorf("%s is what is read: give --output another name", path)}
		}
	}
	if force {
		return nil
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	beginning := make([]byte, present.ReportMark)
	n, _ := io.ReadFull(f, beginning)
	if n > 0 && !present.IsReport(beginning[:n]) {
		return usageError{fmt.Errorf("%s is there already, and no report: take another name, or overwrite it with --force", path)}
	}
	return nil
}

// inputsOf returns the files that are read for paths: those that a settings file
// names with it.
func inputsOf(paths []string) ([]string, error) {
	all := paths
	for _, path := range paths {
		if !bench.Is(path) {
			continue
		}
		set, err := bench.Load(path)
		if err != nil {
			return nil, err
		}
		for _, r := range set.Recordings {
			all = append(all, r.Path)
		}
	}
	return all, nil
}
