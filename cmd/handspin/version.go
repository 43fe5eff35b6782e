package main

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

// version names the program, its version as the build tells it, and its revision
// where it was built from a repository.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "handspin, version not known"
	}
	return versionOf(info)
}

func versionOf(info *debug.BuildInfo) string {
	text := "handspin " + strings.Trim(info.Main.Version, "()")
	set := map[string]string{}
	for _, s := range info.Settings {
		set[s.Key] = s.Value
	}
	if revision := set["vcs.revision"]; revision != "" {
		date, _, _ := strings.Cut(set["vcs.time"], "T")
		text += fmt.Sprintf(", revision %.12s of %s", revision, date)
		if set["vcs.modified"] == "true" {
			text += " with changes"
		}
	}
	return text
}

// newVersion returns the command version.
func newVersion() *cobra.Command {
	cmd := &cobra.Command{
		Use:     "version",
		Short:   "Print the version of this program",
		Example: "  handspin version",
		Args:    noFiles,
		RunE: func(cmd *cobra.Command, _ []string) error {
			_, err := fmt.Fprintf(cmd.OutOrStdout(), "%s (%s, %s/%s)\n", version(), runtime.Version(), runtime.GOOS, runtime.GOARCH)
			return err
		},
	}
	setFlags(cmd)
	return cmd
}
