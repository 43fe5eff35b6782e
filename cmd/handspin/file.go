package main

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"handspin/capture"
	"handspin/capture/csvfile"
	"handspin/capture/open"
	"handspin/capture/rest"
	"handspin/cmd/handspin/internal/present"
	"handspin/commutation/align"
)

// source is how the recording that a command is about is read.
type source struct{ read csvfile.Options }

func (s *source) flags() *pflag.FlagSet {
	flags := newSet()
	flags.StringVar(&s.read.Columns, "columns", "",
		"which column is which, for files with other names: a `MAP` such as t=Time:ms,h1=D0,p1=3 (name or number, unit of t)")
	flags.Float64Var(&s.read.SampleRate, "sample-rate", 0, "rows per second in `HZ`, for files without a time column")
	return flags
}

// answer reads the recording at path and judges it. In place of a recording it
// may be a table of rest positions.
func (s *source) answer(cmd *cobra.Command, path string, ask *question) (*present.Answer, error) {
	name, text, err := open.Text(path, cmd.InOrStdin())
	if err != nil {
		return nil, err
	}
	if rest.Is(text) && s.read.Columns == "" && s.read.SampleRate == 0 {
		return restAnswer(name, text, ask)
	}
	rec, err := open.Parse(name, text, s.read)
	if err != nil {
		return nil, err
	}
	return ask.answer(rec)
}

// restAnswer judges a motor by where its rotor rests under a direct current.
func restAnswer(name string, text []byte, ask *question) (*present.Answer, error) {
	table, err := rest.Parse(name, text)
	if err != nil {
		return nil, err
	}
	rec := &capture.Recording{Name: name, Time: make([]float64, len(table.Positions)), Leads: table.Leads}
	a, err := ask.judge(rec, align.Analyse(table, ask.backward()))
	if err == nil {
		a.AtRest = true
	}
	return a, err
}
