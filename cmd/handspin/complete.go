package main

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"handspin/commutation"
)

// recordings are the endings of files that hold a recording. Commands that take
// several take a settings file too.
var recordings = []string{"csv", "tsv", "txt", "vcd", "gz"}

// takes are the endings of the files that each command takes for arguments.
var takes = map[string][]string{
	"rank": append(recordings, "toml"), "inspect": append(recordings, "toml"), "report": append(recordings, "toml"),
	"compare": append(recordings, "toml"), "next": recordings, "table": recordings, "confirm": recordings,
}

// complete tells the shell what may stand in a command line: files of the right kinds,
// the words of a flag that takes one of a few, and the drive tables that are built in.
func complete(cmd *cobra.Command) {
	kinds := takes[cmd.Name()]
	cmd.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		if kinds == nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return kinds, cobra.ShellCompDirectiveFilterFileExt
	}
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if v, ok := f.Value.(*value[string]); ok && v.words != nil {
			cmd.RegisterFlagCompletionFunc(f.Name, cobra.FixedCompletions(v.words, cobra.ShellCompDirectiveNoFileComp))
		}
		if f.Name == "controller" { // the path of a file does as well
			tables := []string{commutation.Typical().Name, commutation.Typical60().Name}
			cmd.RegisterFlagCompletionFunc(f.Name, cobra.FixedCompletions(tables, cobra.ShellCompDirectiveDefault))
		}
	})
}
