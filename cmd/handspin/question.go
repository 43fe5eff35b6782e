package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"github.com/spf13/pflag"

	"handspin/capture"
	"handspin/cmd/handspin/internal/present"
	"handspin/commutation"
	"handspin/commutation/spin"
)

// question is what the person says about the motor and the controller.
type question struct {
	controller string
	leads      value[capture.Leads]
	spun       *value[string]
	pairs      int // pole pairs, 0 where the person does not say
}

func (q *question) flags() *pflag.FlagSet {
	flags := newSet()
	flags.StringVar(&q.controller, "controller", "",
		"the controller's drive table: typical, typical-60, or a CSV `FILE` with the columns state,high,low (if not given, typical is assumed)")
	flags.AddFlagSet(q.motorFlags())
	return flags
}

// motorFlags are the flags about the motor alone.
func (q *question) motorFlags() *pflag.FlagSet {
	flags := newSet()
	q.leads = value[capture.Leads]{kind: "p1=NAME,...", parse: capture.ParseLeads}
	q.spun = choice("WAY", "forward", "backward")
	flags.Var(&q.leads, "leads", "your own names of the leads, as in p1=yellow,h1=white")
	flags.Var(q.spun, "spun", "which way most of the turning was, forward or backward")
	return flags
}

// answer judges a recording. It takes the recording over.
func (q *question) answer(rec *capture.Recording) (*present.Answer, error) {
	if q.pairs > 0 {
		rec.PolePairs = q.pairs
	}
	return q.judge(rec, spin.Analyse(rec, spin.Options{Backward: q.backward()}))
}

func (q *question) backward() bool { return q.spun.got == "backward" }

// judge ranks the wirings of a motor that was estimated from rec.
func (q *question) judge(rec *capture.Recording, motor *spin.Result) (*present.Answer, error) {
	table, err := q.table()
	if err != nil {
		return nil, err
	}
	rec.Leads = named(rec.Leads, q.leads.got)
	a := &present.Answer{
		Recording: rec,
		Assumed:   q.controller == "",
		Ranking:   commutation.Ranking{Table: table},
		Spin:      motor,
	}
	if a.Spin.Usable {
		a.Ranking = commutation.Rank(a.Spin.Motor, a.Spin.Draws, table)
	}
	a.Verdict, a.Confidence = commutation.Decide(a.Ranking, a.Spin.Usable, a.Spin.Reliability, a.Spin.Findings)
	return a, nil
}

// table returns the controller's drive table.
func (q *question) table() (commutation.DriveTable, error) {
	if q.controller == "" {
		return commutation.Typical(), nil
	}
	if table, ok := commutation.Builtin(q.controller); ok {
		return table, nil
	}
	text, err := os.ReadFile(q.controller)
	if err != nil {
		return commutation.DriveTable{}, noTable(q.controller, err)
	}
	return commutation.ParseTable(q.controller, text)
}

func noTable(name string, err error) error {
	if e, ok := errors.AsType[*fs.PathError](err); ok {
		err = e.Err // the path is in the position
	}
	msg := fmt.Sprintf("the drive table cannot be read: %v", err)
	if errors.Is(err, fs.ErrNotExist) {
		msg = "there is no such drive table"
	}
	return &capture.SyntaxError{
		Pos: capture.Position{File: name}, Msg: msg,
		Hint: "--controller takes typical, typical-60 or a CSV file with the columns state,high,low",
	}
}

// named returns the recording's lead names with those given on the command line
// in their place.
func named(recorded, given capture.Leads) capture.Leads {
	for i := range 3 {
		if given.Phase[i] != "" {
			recorded.Phase[i] = given.Phase[i]
		}
		if given.Hall[i] != "" {
			recorded.Hall[i] = given.Hall[i]
		}
	}
	return recorded
}
