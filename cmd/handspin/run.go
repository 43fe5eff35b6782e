package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"handspin/capture"
	"handspin/capture/board"
	"handspin/capture/csvfile"
	"handspin/cmd/handspin/internal/present"
	"handspin/commutation"
	"handspin/commutation/winding"
)

// The exit statuses: done, also where the answer is that no wiring will do or that
// more data is needed; failed, or the answer to a question of yes or no is no;
// wrong usage.
const (
	done   = 0
	failed = 1
	misuse = 2
)

// run runs the command line args and returns the exit status. Results go to
// stdout, everything else to stderr.
func run(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	// An error before a command has started is the command line's.
	started := false
	root := newRoot(&started)
	root.SetArgs(args)
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	cmd, err := root.ExecuteContextC(ctx)
	if err == nil {
		return done
	}
	if errors.Is(err, errNo) || errors.Is(err, errTold) {
		return failed
	}
	hint := hintOf(err)
	if !started && hint == "" {
		hint = cmd.CommandPath() + " --help tells how to use it"
	}
	complain(stderr, err, hint)
	if !started || isUsage(err) {
		return misuse
	}
	return failed
}

// usageError is a wrong command line that only the command could tell.
type usageError struct{ error }

func isUsage(err error) bool {
	_, option := errors.AsType[*csvfile.OptionError](err)
	_, usage := errors.AsType[usageError](err)
	_, layout := errors.AsType[*winding.LayoutError](err)
	return option || usage || layout
}

func newRoot(started *bool) *cobra.Command {
	root := &cobra.Command{
		Use:   "handspin",
		Short: "Rank the wirings of a sensored motor from a recorded hand spin",
		Long: `handspin takes a recording made while a motor's rotor was turned by hand and
says which of the 36 ways to wire its phase and Hall leads to a six-step
controller run it cleanly, what is broken, and what to do next. handspin guide
tells a newcomer what to do, handspin demo shows an answer.

Exit status: 0 done, whatever the answer; 1 failed, or the answer of confirm is
fail, or the layout that winding checks is wrong; 2 wrong usage.`,
		SilenceUsage:       true,
		SilenceErrors:      true,
		DisableSuggestions: true,
	}
	root.CompletionOptions.HiddenDefaultCmd = true
	for _, cmd := range []*cobra.Command{newRank(), newInspect(), newCompare(), newNext(), newTable(), newConfirm(), newRecord(), newPorts(), newFirmware(), newWinding(), newMagnets(), newReport(), newDemo(), newSimulate(), newManual(), newMan(), newVersion()} {
		complete(cmd)
		work := cmd.RunE
		cmd.RunE = func(cmd *cobra.Command, args []string) error {
			*started = true
			return work(cmd, args)
		}
		root.AddCommand(cmd)
	}
	root.InitDefaultHelpCmd()
	if help, _, err := root.Find([]string{"help"}); err == nil {
		help.Args = topics
	}
	return root
}

// topics is the rule for help: what it is asked about has to be a command.
func topics(help *cobra.Command, args []string) error {
	if _, _, err := help.Root().Find(args); err != nil {
		return hinted{err, "handspin help lists the commands"}
	}
	return nil
}

// complain prints an error and the hint that belongs to it.
func complain(w io.Writer, err error, hint string) {
	fmt.Fprintf(w, "handspin: %s\n", present.Clean(err.Error()))
	if hint != "" {
		fmt.Fprintf(w, "handspin: hint: %s\n", present.Clean(hint))
	}
}

func hintOf(err error) string {
	if e, ok := errors.AsType[hinted](err); ok {
		return e.hint
	}
	if e, ok := errors.AsType[*capture.SyntaxError](err); ok {
		return e.Hint
	}
	if e, ok := errors.AsType[*csvfile.OptionError](err); ok {
		return e.Hint
	}
	if e, ok := errors.AsType[*commutation.TableError](err); ok {
		return e.Hint
	}
	if e, ok := errors.AsType[*board.Error](err); ok {
		return e.Hint
	}
	if e, ok := errors.AsType[*winding.ImpossibleError](err); ok {
		return e.Hint
	}
	if e, ok := errors.AsType[*winding.LayoutError](err); ok {
		return e.Hint
	}
	return ""
}

// hinted is an error of a package that knows no flags, with the hint that names one.
type hinted struct {
	error
	hint string
}

// Unwrap returns the error itself.
func (h hinted) Unwrap() error { return h.error }
