package main

import (
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"handspin/capture"
	"handspin/cmd/handspin/internal/present"
	"handspin/cmd/handspin/internal/triallog"
	"handspin/commutation"
	"handspin/commutation/trial"
)

const nextLong = `next says which wiring to power next when the controller's drive table is not
known, so that the fewest powered trials lead to a clean forward run. FILE is
the recording of a hand spin of the motor. Tell next what happened in each trial
so far, with --tried or in a log file that --log keeps; when the wiring is found
it prints the controller's drive table.

A trial is the wiring as the leads at U V W / HU HV HW, then one of the words
  clean-forward  clean-reverse  starts by itself, smooth, little current
  weak-forward   weak-reverse   turns, but rough, loud, hot or on much current
  stall                         kicks, jerks, locks or does not start
  fault                         nothing is driven, or the controller complains
  unsure                        counts for nothing
and, if measured without load, supply current and speed; forward is the way the
rotor was turned in the recording:
  --tried p1p3p2/h2h1h3=weak-reverse,4.2A,900rpm

Reading the controller is safer than trying. With the motor unplugged and the
supply at a limit of some hundred milliamperes, bring the inputs HU HV HW to the
levels of one state: each through 1 kilohm to the controller's own 5 V or ground
for the sensors, never to the battery. Open the throttle just a little and
measure from the supply's negative to U, V and W, touching one at a time: the
one well above the others is high, the one at zero is low, the third floats.
  --seen 101=U+V-
One or two states are often enough.`

// newNext returns the command next, which plans powered trials.
func newNext() *cobra.Command {
	var ask question
	var file source
	var said told
	prior := choice("WEIGHTS", "published", "equal")
	format := choice("FORMAT", "text", "csv", "json")
	cmd := &cobra.Command{
		Use:   "next FILE",
		Short: "Say which wiring to try next when the controller's table is unknown",
		Long:  nextLong,
		Example: `  handspin next motor.csv --log trials.csv
  handspin next motor.csv --log trials.csv --tried p1p2p3/h1h2h3=stall`,
		Args: motorFile,
		RunE: func(cmd *cobra.Command, args []string) error {
			a, err := file.answer(cmd, args[0], &ask)
			if err != nil {
				return err
			}
			n, err := said.next(a, map[string]trial.Prior{"published": trial.Published, "equal": trial.Equal}[prior.got])
			if err != nil {
				return err
			}
			write := map[string]func(io.Writer, *present.Next) error{
				"text": present.NextText, "csv": present.NextCSV, "json": present.NextJSON,
			}[format.got]
			return write(cmd.OutOrStdout(), n)
		},
	}
	trials := said.flags()
	trials.Var(prior, "prior", "weights of the tables before any trial: published (how often each is found in data sheets) or equal")
	out := newSet()
	out.Var(format, "format", "text, csv (the likeliest drive table) or json")
	setFlags(cmd, group{"Trials", trials}, group{"Motor", ask.motorFlags()}, group{"File", file.flags()}, group{"Output", out})
	return cmd
}

// motorFile is the rule for commands that stand on a recording of the motor.
func motorFile(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return fmt.Errorf("%s needs FILE, the recording of a hand spin of the motor: all that it says follows from the motor", cmd.Name())
	}
	return oneFile(cmd, args)
}

// told is what the person says about the controller.
type told struct {
	tried list[trial.Trial]
	seen  list[trial.Reading]
	log   string
	note  string
}

func (s *told) flags() *pflag.FlagSet {
	set := newSet()
	s.tried = list[trial.Trial]{kind: "WIRING=OUTCOME", parse: trial.Parse}
	s.seen = list[trial.Reading]{kind: "STATE=DRIVE", parse: trial.ParseReading}
	set.Var(&s.tried, "tried", "what a trial showed; repeat it for each trial, in order")
	set.Var(&s.seen, "seen", "what the controller was seen to drive at a state of HU HV HW; repeat it for each state")
	set.StringVar(&s.log, "log", "", "the trial log `FILE`, a CSV: what it holds counts, and what --tried says is added to it")
	set.StringVar(&s.note, "note", "", "a `TEXT` that goes with --tried into the log")
	return set
}

// next plans for the motor of a.
func (s *told) next(a *present.Answer, prior trial.Prior) (*present.Next, error) {
	if err := fit(a, "powered trials"); err != nil {
		return nil, err
	}
	planner := trial.New(a.Spin.Motor, prior)
	if !planner.Serves() {
		return nil, refusal(a, "no drive table that is known runs this motor cleanly", "rank tells what to repair")
	}
	trials, err := s.trials()
	if err != nil {
		return nil, err
	}
	advice, err := planner.Next(s.seen.got, trials)
	if errors.Is(err, trial.ErrReadings) {
		return nil, usageError{fmt.Errorf("--seen: %w; look at them again", err)}
	}
	return &present.Next{Recording: a.Recording, Advice: advice, Trials: trials, Logged: s.log}, err
}

// trials returns all trials in order, after adding the new ones to the log.
func (s *told) trials() ([]trial.Trial, error) {
	if s.log == "" {
		return s.tried.got, nil
	}
	past, err := triallog.Read(s.log)
	if err != nil {
		return nil, err
	}
	if len(s.tried.got) > 0 {
		if err := triallog.Add(s.log, s.tried.got, time.Now(), s.note); err != nil {
			return nil, err
		}
	}
	return append(past, s.tried.got...), nil
}

// fit refuses a motor that is not known well enough, or not sound enough, for
// what is to be done.
func fit(a *present.Answer, what string) error {
	for _, severity := range []commutation.Severity{commutation.Repair, commutation.Data} {
		for _, f := range a.Spin.Findings {
			if f.Severity == severity {
				return refusal(a, fmt.Sprintf("the motor is not ready for %s: %s", what, f.Text), f.Hint)
			}
		}
	}
	if !a.Spin.Usable {
		return refusal(a, "the recording does not determine the motor", "record a longer spin")
	}
	return nil
}

func refusal(a *present.Answer, msg, hint string) error {
	return &capture.SyntaxError{Pos: capture.Position{File: a.Recording.Name}, Msg: msg, Hint: hint}
}
