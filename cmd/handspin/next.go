package main

import (
	"fmt"
	"io"
	"slices"
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
it says how sure that is, how to check it, and the controller's drive table.

A trial is the wiring as the leads at U V W / HU HV HW, then one of the words
  clean-forward  clean-reverse  starts by itself, smooth, little current
  weak-forward   weak-reverse   turns, but rough, loud, hot or on much current
  stall                         hums, kicks, jerks, locks or does not start
  fault                         nothing is driven, or the controller complains
  unsure                        counts for nothing
and, if measured without load, supply current and speed; forward is the way the
rotor was turned in the recording:
  --tried p1p3p2/h2h1h3=weak-reverse,4.2A,900rpm

Reading the controller is safer than trying. Unplug the motor, and limit the
supply to some hundred milliamperes. Bring the inputs HU HV HW to the levels of
one state: connect an input straight to the controller's ground for low, and to
nothing for high, as most sensors do; the controller's pull-ups hold it high. If
they do not, put 1 kilohm from the input to its 5 V for the sensors, never to
the battery. Join three equal resistors, 10 kilohm each, one from each of U, V
and W; their joint is the reference. Open the throttle just a little and measure
from the joint to U, V and W: the one above it is high, the one below it is low,
the one at it floats. A probe must not touch two terminals.
Some controllers drive nothing for long without a moving motor.
  --seen 101=U+V-
One or two states are often enough; one reading in thirty is taken for wrong.`

// newNext returns the command next, which plans powered trials.
func newNext() *cobra.Command {
	var ask question
	var file source
	var said told
	prior := choice("WEIGHTS", "published", "equal")
	format := choice("FORMAT", "text", "markdown", "csv", "json")
	cmd := &cobra.Command{
		Use:   "next FILE",
		Short: "Say which wiring to try next on an unknown controller",
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
			if format.got == "csv" && !n.Known() {
				return refusal(a, "the controller's drive table is not known yet, so that there is none to print", said.unprinted())
			}
			n.Command = said.command(cmd, args[0])
			if err := said.keep(a, n); err != nil {
				return err
			}
			write := map[string]func(io.Writer, *present.Next) error{
				"text": present.NextText, "markdown": present.NextMarkdown, "csv": present.NextCSV, "json": present.NextJSON,
			}[format.got]
			return write(cmd.OutOrStdout(), n)
		},
	}
	trials := said.flags()
	trials.Var(prior, "prior", "weights of the tables before any trial: published (how often each is found in data sheets) or equal")
	out := newSet()
	out.Var(format, "format", "text, markdown, csv (the controller's drive table, once it is known) or json")
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
	again bool
	// fresh are those of tried that the log does not have yet.
	fresh []trial.Trial
}

func (s *told) flags() *pflag.FlagSet {
	set := newSet()
	s.tried = list[trial.Trial]{kind: "WIRING=OUTCOME", parse: trial.Parse}
	s.seen = list[trial.Reading]{kind: "STATE=DRIVE", parse: trial.ParseReading}
	set.Var(&s.tried, "tried", "what a trial showed; repeat it for each trial, in order")
	set.Var(&s.seen, "seen", "what the controller was seen to drive at a state of HU HV HW; repeat it for each state")
	set.StringVar(&s.log, "log", "", "the trial log `FILE`, a CSV: what it holds counts, and what --tried says is added to it")
	set.StringVar(&s.note, "note", "", "a `TEXT` that goes with --tried into the log")
	set.BoolVar(&s.again, "again", false, "what --tried says was tried once more, though it equals the end of the log")
	return set
}

// next plans for the motor of a. It writes nothing.
func (s *told) next(a *present.Answer, prior trial.Prior) (*present.Next, error) {
	if err := fit(a, "powered trials"); err != nil {
		return nil, err
	}
	planner := trial.New(a.Spin.Motor, a.Spin.Draws, prior)
	if !planner.Serves() {
		return nil, refusal(a, "no drive table that is known runs this motor cleanly", "rank tells what to repair")
	}
	n := &present.Next{Recording: a.Recording, Logged: s.log != ""}
	s.fresh = s.tried.got
	if n.Logged {
		past, err := triallog.Read(s.log, triallog.Motor(a.Spin.Motor))
		if err != nil {
			return nil, err
		}
		if !s.again {
			n.Repeated = overlap(past, s.tried.got)
		}
		s.fresh = s.fresh[n.Repeated:]
		n.Trials = past
	}
	n.Trials = append(n.Trials, s.fresh...)
	n.Advice = planner.Next(s.seen.got, n.Trials)
	return n, nil
}

// overlap returns how many of the trials that more begins with the trials past
// end with: a command run once more says the same again.
func overlap(past, more []trial.Trial) int {
	for n := min(len(past), len(more)); n > 0; n-- {
		if slices.Equal(past[len(past)-n:], more[:n]) {
			return n
		}
	}
	return 0
}

// keep adds the new trials to the log.
func (s *told) keep(a *present.Answer, n *present.Next) error {
	if !n.Logged || len(s.fresh) == 0 {
		return nil
	}
	about := []string{"trials of the motor in " + present.Clean(a.Recording.Name)}
	if leads := a.Recording.Leads.String(); leads != "" {
		about = append(about, "leads: "+present.Clean(leads))
	}
	return triallog.Add(s.log, triallog.Entry{Trials: s.fresh, At: time.Now(), Note: s.note, About: about, Motor: triallog.Motor(a.Spin.Motor)})
}

// unprinted says what to do where there is no table to print.
func (s *told) unprinted() string {
	hint := "--format text tells what to try next"
	if s.log != "" && len(s.fresh) > 0 {
		hint += "; nothing was added to the log"
	}
	return hint
}

// command returns this command as words of a shell, without what is not to be
// said again: the trials, where the log has them, and how to print.
func (s *told) command(cmd *cobra.Command, file string) []string {
	words := []string{"handspin", "next", shellWord(file)}
	cmd.Flags().Visit(func(f *pflag.Flag) {
		switch f.Name {
		case "tried", "note", "again", "format":
		case "seen":
			for _, text := range s.seen.text {
				words = append(words, "--seen", shellWord(text))
			}
		default:
			words = append(words, "--"+f.Name, shellWord(f.Value.String()))
		}
	})
	if s.log == "" {
		for _, text := range s.tried.text {
			words = append(words, "--tried", shellWord(text))
		}
	}
	return words
}

// fit refuses a motor that is not known well enough, or not sound enough, for
// what is to be done.
func fit(a *present.Answer, what string) error {
	for _, severity := range []commutation.Severity{commutation.Repair, commutation.Data} {
		for _, f := range a.Spin.Findings {
			if f.Severity == severity {
				subject := map[commutation.Severity]string{commutation.Repair: "the motor is not ready", commutation.Data: "the recording is not enough"}[severity]
				return refusal(a, fmt.Sprintf("%s for %s: %s", subject, what, f.Text), f.Hint)
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
