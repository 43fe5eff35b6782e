package main

import (
	"fmt"
	"os"
	"runtime/debug"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"handspin/cmd/handspin/internal/present"
)

// built returns when the program's sources were last changed, as the build tells it;
// nil, which stands for today, where it does not.
func built() *time.Time {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return nil
	}
	for _, s := range info.Settings {
		if at, err := time.Parse(time.RFC3339, s.Value); s.Key == "vcs.time" && err == nil {
			return &at
		}
	}
	return nil
}

// newMan returns the command man, which writes the manual's pages.
func newMan() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "man FOLDER",
		Short: "Write the pages of the manual, for the program man",
		Long: `man writes a page for each command into FOLDER, in the format that the program
man reads: handspin-rank.1 and so on.`,
		Example: `  handspin man man1
  man ./man1/handspin-rank.1`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fmt.Errorf("man takes one FOLDER, not %d", len(args))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := os.MkdirAll(args[0], 0o777); err != nil {
				return err
			}
			head := &doc.GenManHeader{Section: "1", Source: version(), Manual: "handspin", Date: built()}
			root := cmd.Root()
			root.DisableAutoGenTag = true
			if err := doc.GenManTree(root, head, args[0]); err != nil {
				return err
			}
			_, err := fmt.Fprintf(cmd.OutOrStdout(), "read them with, say: man -l %s/handspin-rank.1\n", present.Clean(shellWord(args[0])))
			return err
		},
	}
	setFlags(cmd)
	return cmd
}
