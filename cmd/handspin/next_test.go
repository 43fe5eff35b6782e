package main

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"handspin/commutation"
)

const demoFile = "../../testdata/demo.csv.gz"

// advice is what the tests read of the JSON answer.
type advice struct {
	Schema   string
	Wiring   string
	Try      map[string]string
	Chance   float64
	Left     int     `json:"tables_left"`
	Expected float64 `json:"expected_trials"`
	Worst    int     `json:"worst_trials"`
	Solved   bool
	Table    *struct {
		Class  string
		States map[string]struct{ High, Low string }
	}
	Exchange [][2]string
	Check    map[string]string
	Repeated int     `json:"repeated_trials"`
	Other    float64 `json:"other_spacing"`
	Separate *string `json:"separating_state"`
}

// short returns a wiring as it is written on the command line.
func short(w map[string]string) string {
	return w["U"] + w["V"] + w["W"] + "/" + w["HU"] + w["HV"] + w["HW"]
}

func adviceOf(t *testing.T, args ...string) (a advice) {
	t.Helper()
	got := handspin("", append([]string{"next", demoFile, "--format", "json"}, args...)...)
	if got.status != done {
		t.Fatalf("%v: %s", args, got.stderr)
	}
	if err := json.Unmarshal([]byte(got.stdout), &a); err != nil {
		t.Fatal(err)
	}
	return a
}

// truths are what the demo's motor does with each wiring from each published
// table, by the file's name.
func truths(t *testing.T) map[string]map[string]commutation.Behaviour {
	t.Helper()
	out := map[string]map[string]commutation.Behaviour{}
	for _, name := range []string{"simscape", "mcb", "a3930-dir0", "lb1976-fr-low", "an957"} {
		got := handspin("", "rank", demoFile, "--format", "json", "--controller", "../../testdata/tables/"+name+".csv")
		out[name] = map[string]commutation.Behaviour{}
		for _, w := range answerOf(t, got.stdout).Wirings {
			out[name][w.U+w.V+w.W+"/"+w.HU+w.HV+w.HW] = commutation.Behaviour(w.Behaviour)
		}
	}
	return out
}

// TestNextFindsPublishedTables: with a log, trial by trial, next ends at a clean
// forward wiring, and with the check that it asks for it prints the table that the
// controller has. At most 4 trials are needed before the check; see the tests of
// the planner.
func TestNextFindsPublishedTables(t *testing.T) {
	for name, does := range truths(t) {
		log := t.TempDir() + "/trials.csv"
		a := adviceOf(t, "--log", log)
		trials := 0
		for ; !a.Solved && trials <= 4; trials++ {
			a = adviceOf(t, "--log", log, "--tried", a.Wiring+"="+string(does[a.Wiring]))
		}
		if !a.Solved || trials > 4 || does[a.Wiring] != commutation.CleanForward {
			t.Fatalf("%s: %+v after %d trials", name, a, trials)
		}
		if (a.Check != nil) != (a.Chance < 0.95) {
			t.Errorf("%s: check %v at %g", name, a.Check, a.Chance)
		}
		for a.Check != nil && trials < 6 {
			check := short(a.Check)
			// What turns weakly tells by its direction, too.
			if b := does[check]; b != commutation.WeakForward && b != commutation.WeakReverse {
				t.Errorf("%s: %s is no check, for it does %s", name, check, b)
			}
			a = adviceOf(t, "--log", log, "--tried", check+"="+string(does[check]))
			trials++
		}
		table, err := commutation.ParseTable(name, []byte(readFile(t, "../../testdata/tables/"+name+".csv")))
		if err != nil {
			t.Fatal(err)
		}
		if a.Table == nil || len(a.Table.States) != 6 {
			t.Fatalf("%s: %+v after %d trials", name, a, trials)
		}
		for s, d := range a.Table.States {
			state, _ := commutation.ParseState(s)
			if want, ok := table.At(state); !ok || want.High.String() != d.High || want.Low.String() != d.Low {
				t.Errorf("%s at %s: %v", name, s, d)
			}
		}
		// The file, the leads' names and the motor, the columns' names and the trials.
		if n := strings.Count(readFile(t, log), "\n"); n != 3+1+trials {
			t.Errorf("%s: %d lines in the log after %d trials", name, n, trials)
		}
	}
}

// TestRepeatedCommand: the same command again counts once, and --again twice.
func TestRepeatedCommand(t *testing.T) {
	log := t.TempDir() + "/trials.csv"
	args := []string{"--log", log, "--tried", "P1P2P3/H1H2H3=Stall"}
	first := adviceOf(t, args...)
	again := adviceOf(t, args...)
	text := readFile(t, log)
	if first.Chance != again.Chance || again.Repeated != 1 || strings.Count(text, "stall") != 1 {
		t.Errorf("%+v, then %+v\n%s", first, again, text)
	}
	if !strings.HasPrefix(text, "# trials of the motor in "+demoFile+"\n# leads: p1=yellow,") {
		t.Errorf("the log begins\n%s", text)
	}
	got := handspin("", append([]string{"next", demoFile}, args...)...).stdout
	if !strings.Contains(got, "counted once") || !strings.Contains(got, "handspin next "+demoFile+" --log "+log[:4]) && !strings.Contains(got, "--log") {
		t.Errorf("got\n%s", got)
	}
	if strings.Contains(got, "--tried P1P2P3") {
		t.Errorf("the next command repeats what the log has:\n%s", got)
	}
	if adviceOf(t, append(args, "--again")...); strings.Count(readFile(t, log), "stall") != 2 {
		t.Errorf("--again is not added:\n%s", readFile(t, log))
	}
	// What the log ends with and goes on from there: only the rest is new.
	more := adviceOf(t, append(args, "--tried", "p1p3p2/h1h2h3=weak-reverse")...)
	if more.Repeated != 1 || strings.Count(readFile(t, log), "\n") != 3+1+3 {
		t.Errorf("%+v\n%s", more, readFile(t, log))
	}
}

// TestNothingLoggedOnFailure: a command that fails adds nothing.
func TestNothingLoggedOnFailure(t *testing.T) {
	log := t.TempDir() + "/trials.csv"
	got := handspin("", "next", demoFile, "--log", log, "--tried", "p1p2p3/h1h2h3=stall", "--format", "csv")
	if _, err := os.Stat(log); got.status != failed || got.stdout != "" || !os.IsNotExist(err) || !strings.Contains(got.stderr, "not known yet") || !strings.Contains(got.stderr, "nothing was added") {
		t.Errorf("%d %s%s, %v", got.status, got.stdout, got.stderr, err)
	}
}

// TestNotSureIsSaid: one clean run is no proof, and the text does not say so.
func TestNotSureIsSaid(t *testing.T) {
	args := []string{"--prior", "equal", "--tried", "p1p2p3/h1h2h3=clean-forward"}
	a := adviceOf(t, args...)
	text := handspin("", append([]string{"next", demoFile}, args...)...).stdout
	if !a.Solved || a.Chance >= 0.95 || a.Check == nil || a.Table != nil || a.Separate == nil {
		t.Errorf("%+v", a)
	}
	if strings.Contains(text, "Keep it") || strings.Contains(text, "HU HV HW  high") || !strings.Contains(text, short(a.Check)) || !strings.Contains(text, "mistaken") {
		t.Errorf("got\n%s", text)
	}
}

// TestStops: where no table fits there is nothing to try, and the text says what
// that means and which answers to look at again.
func TestStops(t *testing.T) {
	for _, args := range []string{
		"--tried p1p2p3/h1h2h3=fault --tried p1p3p2/h1h2h3=fault",
		strings.Repeat("--tried p1p3p2/h1h2h3=fault ", 8),
		"--prior equal --seen 000=U+V-",
	} {
		a := adviceOf(t, strings.Fields(args)...)
		text := handspin("", append([]string{"next", demoFile}, strings.Fields(args)...)...).stdout
		if a.Try != nil || a.Solved || a.Left != 0 || a.Other < 0.9 || a.Table != nil {
			t.Errorf("%s: %+v", args, a)
		}
		if !strings.HasPrefix(text, "Stop trying: ") || !strings.Contains(text, "60 or 120 degrees") || !strings.Contains(text, "To ") {
			t.Errorf("%s:\n%s", args, text)
		}
	}
}

// TestOtherSpacing: a motor of 60 degrees, whose controller is most probably for
// 120: the chance counts that, and the setting comes first.
func TestOtherSpacing(t *testing.T) {
	motor, _ := simulate(t, "--seed 5 --spacing 60")
	got := handspin(motor, "next", "-")
	if !strings.HasPrefix(got.stdout, "First see whether the controller can be set to 60 or 120 degrees") {
		t.Errorf("got\n%s", got.stdout)
	}
	// Of the published tables 6 are for 60 degrees, each class counting one more:
	// 18 of 56 in weight, with one percent for none. The commonest class weighs 4.
	var a advice
	if err := json.Unmarshal([]byte(handspin(motor, "next", "-", "--format", "json").stdout), &a); err != nil {
		t.Fatal(err)
	}
	if limit := 4 / 56.56; a.Chance > limit+1e-4 || a.Chance < limit*0.9 {
		t.Errorf("chance %g, want %g", a.Chance, limit)
	}
}

func TestNextSchema(t *testing.T) {
	// One in 24 tables, or none with a weight of one percent: 1/24.24.
	a := adviceOf(t, "--prior", "equal")
	if a.Schema != "handspin.next/1" || a.Left != 12 || a.Expected != 2.6667 || a.Worst != 4 || a.Chance != 0.0413 || a.Solved || a.Table != nil {
		t.Errorf("%+v", a)
	}
	if short(a.Try) != a.Wiring {
		t.Errorf("%v is not %s", a.Try, a.Wiring)
	}
	a = adviceOf(t, "--tried", a.Wiring+"=stall")
	if len(a.Exchange) == 0 {
		t.Error("it does not say what to exchange")
	}
}

// TestTableFromNext: the CSV form is a table that rank takes.
func TestTableFromNext(t *testing.T) {
	got := handspin("", "next", demoFile, "--seen", "101=U+V-", "--seen", "100=U+W-", "--format", "csv")
	file := write(t, "t.csv", got.stdout)
	list := handspin("", "rank", demoFile, "--format", "csv", "--all", "--controller", file).stdout
	if list == "" || list != handspin("", "rank", demoFile, "--format", "csv", "--all").stdout {
		t.Errorf("the list by\n%s is\n%s", got.stdout, list)
	}
}

func TestNextRefuses(t *testing.T) {
	dead, _ := simulate(t, "--stuck-low h2")
	short, _ := simulate(t, "--turns 0.4")
	bad := write(t, "bad.csv", "time,wiring,outcome,amps,note\n,p1p2p3/h1h2h3,fine,,\n")
	for _, c := range []struct {
		stdin, args string
		status      int
		want        string
	}{
		{"", "next", misuse, "next needs FILE, the recording of a hand spin of the motor"},
		{dead, "next -", failed, "the motor is not ready for powered trials: h2 "},
		{short, "next -", failed, "the recording is not enough for powered trials: "},
		{"", "next " + demoFile + " --tried p1p2p3/h1h2h3=good", misuse, `outcome "good" is not one of clean-forward`},
		{"", "next " + demoFile + " --format csv", failed, "the controller's drive table is not known yet"},
		{"", "next " + demoFile + " --tried p1p2p3/h1h2h3=stall,4,2A", misuse, "decimals follow a point"},
		{"", "next " + demoFile + " --prior mine", misuse, "it is one of published, equal"},
		{"", "next " + demoFile + " --log " + bad + " --tried p1p2p3/h1h2h3=stall", failed, bad + `:2:16: outcome "fine" is not one of`},
		{"", "next " + demoFile + " --log " + os.TempDir(), failed, "the trial log cannot be used"},
	} {
		got := handspin(c.stdin, strings.Fields(c.args)...)
		if got.status != c.status || !strings.Contains(got.stderr, c.want) || got.stdout != "" {
			t.Errorf("%s: %d %s%s", c.args, got.status, got.stdout, got.stderr)
		}
	}
	if strings.Count(readFile(t, bad), "\n") != 2 {
		t.Error("a log with a bad line was changed")
	}
}

// TestNextFits: the text stays within the terminal and warns.
func TestNextFits(t *testing.T) {
	for _, args := range []string{"", "--prior equal --tried p1p2p3/h1h2h3=fault --tried p1p3p2/h1h2h3=fault", "--seen 000=U+V-", "--tried p1p3p2/h1h3h2=clean-forward", "--seen 101=U+V- --seen 100=U+W-"} {
		got := handspin("", append([]string{"next", demoFile}, strings.Fields(args)...)...)
		for line := range strings.Lines(got.stdout) {
			if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 80 {
				t.Errorf("%s: %d columns: %s", args, n, line)
			}
		}
		if strings.Contains(got.stdout, "Try this") && !strings.Contains(got.stdout, "change no lead under power") {
			t.Errorf("%s: no caution", args)
		}
	}
	text := handspin("", "next", demoFile, "--seen", "101=U+V-", "--seen", "100=U+V-").stdout
	if !strings.Contains(text, "one reading does not fit") {
		t.Errorf("readings that contradict each other are not named:\n%s", text)
	}
	text = handspin("", "next", demoFile, "--format", "markdown").stdout
	if !strings.HasPrefix(text, "**Try this wiring next") || !strings.Contains(text, "| controller | motor lead |") || !strings.Contains(text, "```\nhandspin next ") {
		t.Errorf("Markdown:\n%s", text)
	}
}

// To a person who calls every run rough it is said that the wiring is right all the same, and
// where to look instead. The answers are what the demo's motor does from the typical table,
// as rank --all says, with weak for clean.
func TestNextToWhomNothingIsClean(t *testing.T) {
	args := []string{"next", demoFile}
	for _, w := range []string{"p1p3p2/h1h3h2", "p1p2p3/h2h3h1", "p1p3p2/h1h3h2", "p1p2p3/h1h2h3"} {
		args = append(args, "--tried", w+"=weak-forward")
	}
	got := handspin("", args...)
	if !strings.Contains(got.stdout, "Solved") || !strings.Contains(got.stdout, "You called it weak.") {
		t.Errorf("%s%s", got.stdout, got.stderr)
	}
}
