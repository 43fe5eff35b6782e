package main

import (
	"fmt"
	"regexp"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// group is a set of flags with a heading.
type group struct {
	name  string
	flags *pflag.FlagSet
}

// newSet returns an empty set of flags that help lists in the order of adding.
func newSet() *pflag.FlagSet {
	set := pflag.NewFlagSet("", pflag.ContinueOnError)
	set.SortFlags = false
	return set
}

// setFlags gives a command its flags and a help text of 80 columns that lists
// them by group.
func setFlags(cmd *cobra.Command, groups ...group) {
	for _, g := range groups {
		cmd.Flags().AddFlagSet(g.flags)
	}
	cmd.SetUsageFunc(func(cmd *cobra.Command) error {
		w := cmd.OutOrStdout()
		_, err := fmt.Fprintf(w, "Usage:\n  %s\n", cmd.UseLine())
		if err == nil && cmd.HasExample() {
			_, err = fmt.Fprintf(w, "\nExamples:\n%s\n", cmd.Example)
		}
		for _, g := range groups {
			if err == nil {
				_, err = fmt.Fprintf(w, "\n%s:\n%s", g.name, g.flags.FlagUsagesWrapped(80))
			}
		}
		return err
	})
}

// noFiles is the rule for commands that take flags only.
func noFiles(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return fmt.Errorf("%s takes no FILE, and so not %q", cmd.Name(), args[0])
	}
	return nil
}

// oneFile is the rule for commands that take one file.
func oneFile(cmd *cobra.Command, args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("%s takes one FILE, not %d", cmd.Name(), len(args))
	}
	return nil
}

// someFiles is the rule for commands that take one file or several.
func someFiles(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return fmt.Errorf("%s takes at least one FILE", cmd.Name())
	}
	return nil
}

var plainWord = regexp.MustCompile(`^[\w./:\\+-][\w./:\\=,+-]*$`)

// shellWord returns a text as one word of a shell's command line.
func shellWord(text string) string {
	if plainWord.MatchString(text) {
		return text
	}
	return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'"
}
