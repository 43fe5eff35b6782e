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
// forward wiring and prints the table that the controller has. At most 4 trials
// are needed; see the tests of the planner.
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
		table, err := commutation.ParseTable(name, []byte(readFile(t, "../../testdata/tables/"+name+".csv")))
		if err != nil {
			t.Fatal(err)
		}
		for s, d := range a.Table.States {
			state, _ := commutation.ParseState(s)
			if want, ok := table.At(state); !ok || want.High.String() != d.High || want.Low.String() != d.Low {
				t.Errorf("%s at %s: %v", name, s, d)
			}
		}
		if n := strings.Count(readFile(t, log), "\n"); n != trials+1 || len(a.Table.States) != 6 {
			t.Errorf("%s: %d lines in the log, %d states", name, n, len(a.Table.States))
		}
	}
}

func TestNextSchema(t *testing.T) {
	a := adviceOf(t, "--prior", "equal")
	if a.Schema != "handspin.next/1" || a.Left != 12 || a.Expected != 2.6667 || a.Worst != 4 || a.Chance != 0.0833 || a.Solved || a.Table != nil {
		t.Errorf("%+v", a)
	}
	if a.Try["U"]+a.Try["V"]+a.Try["W"]+"/"+a.Try["HU"]+a.Try["HV"]+a.Try["HW"] != a.Wiring {
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
		{short, "next -", failed, "the motor is not ready for powered trials: "},
		{"", "next " + demoFile + " --tried p1p2p3/h1h2h3=good", misuse, `outcome "good" is not one of clean-forward`},
		{"", "next " + demoFile + " --seen 101=U+V- --seen 100=U+V-", misuse, "no six-step table drives all that was read"},
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
	text := handspin("", "next", demoFile, "--prior", "equal", "--tried", "p1p2p3/h1h2h3=fault", "--tried", "p1p3p2/h1h2h3=fault").stdout
	if !strings.Contains(text, "spaced otherwise than this motor's") {
		t.Errorf("two faults do not point to the spacing:\n%s", text)
	}
}
