package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"handspin/capture"
	"handspin/capture/csvfile"
	"handspin/capture/open"
	"handspin/capture/rest"
	"handspin/cmd/handspin/internal/bench"
	"handspin/cmd/handspin/internal/present"
	"handspin/commutation/align"
	"handspin/commutation/spin"
)

// source is how the recording that a command is about is read.
type source struct {
	read csvfile.Options
	busy *busy
	// settings are those of the settings file, once one was read.
	settings bench.Settings
}

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
	s.busy.begin("reading %s", open.Called(path))
	text, err := open.Get(path, cmd.InOrStdin())
	if err != nil {
		return nil, err
	}
	s.read.Passed = func(n int) { s.busy.done(n, len(text.Bytes)) }
	if rest.Is(text.Bytes) && s.read.Columns == "" && s.read.SampleRate == 0 {
		return restAnswer(text.Name, text.Bytes, ask)
	}
	rec, err := text.Parse(s.read)
	if err != nil {
		return nil, err
	}
	s.busy.begin("following the rotor through %d rows", rec.Rows())
	return ask.answer(rec)
}

// answers judges the motor that all of paths are about: one recording, or
// several, or a settings file that names them.
func (s *source) answers(cmd *cobra.Command, paths []string, ask *question) (*present.Answer, error) {
	s.busy = newBusy(cmd.ErrOrStderr(), busyAfter, busyEvery)
	defer s.busy.end()
	return s.judge(cmd, paths, ask)
}

// judge is answers without a word on the way.
func (s *source) judge(cmd *cobra.Command, paths []string, ask *question) (*present.Answer, error) {
	if len(paths) == 1 && !bench.Is(paths[0]) {
		return s.answer(cmd, paths[0], ask)
	}
	s.busy.begin("reading the recordings")
	recs, err := s.recordings(cmd, paths, ask)
	s.busy.begin("following the rotor")
	if err != nil {
		return nil, err
	}
	return chained(recs, ask)
}

// chained judges the motor by recordings made one after another.
func chained(recs []*capture.Recording, ask *question) (*present.Answer, error) {
	if len(recs) == 1 {
		return ask.answer(recs[0])
	}
	motor, err := spin.AnalyseAll(recs, spin.Options{Backward: ask.backward()})
	if err != nil {
		_, why := capture.Merge(recs)
		return nil, fmt.Errorf("the recordings cannot be joined: %w; nor are they channels of one recording: %w", err, why)
	}
	return ask.judge(capture.Together(recs), motor)
}

// recordings reads several recordings, or those that a settings file names, and
// joins those that were made at once: all of them if they can be, or those of each
// spin.
func (s *source) recordings(cmd *cobra.Command, paths []string, ask *question) ([]*capture.Recording, error) {
	list := make([]bench.Recording, len(paths))
	for i, path := range paths {
		if bench.Is(path) {
			if len(paths) > 1 {
				return nil, usageError{errors.New("a settings file names its recordings itself: give no other file beside it")}
			}
			return s.settled(cmd, path, ask)
		}
		list[i] = bench.Recording{Path: path, Read: s.read}
	}
	recs, err := openAll(cmd, list)
	if err != nil {
		return nil, err
	}
	return grouped(recs)
}

// grouped joins recordings that were made at once.
func grouped(recs []*capture.Recording) ([]*capture.Recording, error) {
	if all, err := capture.Merge(recs); err == nil {
		return []*capture.Recording{all}, nil
	}
	spins, err := capture.Group(recs)
	if errors.Is(err, capture.ErrWhichSpin) {
		err = hinted{err, "give the files of one spin one after another, as many for each spin; or name all in a settings file, each [[recording]] with a line spin = 1, 2, ..."}
	}
	return spins, err
}

// settled reads the recordings of a settings file. What the command line says of
// motor and controller goes before what the file says; its columns and rate are for
// recordings without their own.
func (s *source) settled(cmd *cobra.Command, path string, ask *question) ([]*capture.Recording, error) {
	set, err := bench.Load(path)
	if err != nil {
		return nil, err
	}
	s.settings = *set
	for i := range set.Recordings {
		own := &set.Recordings[i].Read
		if own.Columns == "" {
			own.Columns = s.read.Columns
		}
		if own.SampleRate == 0 {
			own.SampleRate = s.read.SampleRate
		}
	}
	recs, err := openAll(cmd, set.Recordings)
	if err != nil {
		return nil, err
	}
	for _, rec := range recs {
		rec.Leads = named(rec.Leads, set.Leads)
		if set.PolePairs > 0 {
			rec.PolePairs = set.PolePairs
		}
	}
	if ask.controller == "" {
		ask.controller = set.Table
	}
	if numbers := set.Spins(); slices.Max(numbers) > 0 {
		return capture.GroupAs(recs, numbers)
	}
	return grouped(recs)
}

func openAll(cmd *cobra.Command, list []bench.Recording) ([]*capture.Recording, error) {
	var recs []*capture.Recording
	for _, r := range list {
		rec, err := open.Path(r.Path, cmd.InOrStdin(), r.Read)
		if hint := hintOf(err); len(list) > 1 && strings.Contains(hint, "--columns") {
			err = hinted{err, hint + "; for each file its own columns, write them beside it in a settings file: columns = \"...\""}
		}
		if err != nil {
			return nil, err
		}
		if i := slices.IndexFunc(recs, rec.Repeats); i >= 0 {
			return nil, hinted{fmt.Errorf("%s and %s hold the same recording", recs[i].Name, rec.Name), "give each recording once: a copy tells nothing more, and would make the answer seem surer"}
		}
		recs = append(recs, rec)
	}
	return recs, nil
}

// restAnswer judges a motor by where its rotor rests under a direct current.
func restAnswer(name string, text []byte, ask *question) (*present.Answer, error) {
	table, err := rest.Parse(name, text)
	if err != nil {
		return nil, err
	}
	rec := &capture.Recording{Name: name, Time: make([]float64, len(table.Positions)), Leads: table.Leads}
	a, err := ask.judge(rec, align.Analyse(table, ask.backward()))
	if err != nil {
		return nil, err
	}
	a.AtRest = true
	for i := range a.Ranking.Wirings { // no wiring is surer than the places it stands on
		w := &a.Ranking.Wirings[i]
		w.Confidence = min(w.Confidence, a.Spin.Reliability)
	}
	return a, nil
}
