package triallog

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"handspin/commutation"
	"handspin/commutation/trial"
)

var at = time.Date(2024, 5, 1, 14, 0, 0, 0, time.FixedZone("", 2*3600))

func one(outcome commutation.Behaviour, amps float64) trial.Trial {
	return trial.Trial{Wiring: commutation.Wirings()[7], Outcome: outcome, Amps: amps}
}

func TestNothingIsLost(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.csv")
	want := []trial.Trial{one(commutation.Stall, 0), one(commutation.WeakForward, 4.25)}
	for i, one := range want {
		if err := Add(path, Entry{[]trial.Trial{one}, at, []string{"", `it "sang", loud`}[i], []string{"trials of the motor in\nmotor.csv", "leads: p1=a"}, "M"}); err != nil {
			t.Fatal(err)
		}
	}
	got, err := Read(path, "M")
	if err != nil || len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("%+v %v", got, err)
	}
	text, _ := os.ReadFile(path)
	// Twelve o'clock UTC; quoting as in RFC 4180.
	wantText := "# trials of the motor in motor.csv\n# leads: p1=a\n# drive that suits the motor: M\n" +
		"time,wiring,outcome,amps,rpm,note\n" +
		"2024-05-01T12:00:00Z,p1p3p2/h1h3h2,stall,,,\n" +
		"2024-05-01T12:00:00Z,p1p3p2/h1h3h2,weak-forward,4.25,,\"it \"\"sang\"\", loud\"\n"
	if string(text) != wantText {
		t.Errorf("got\n%s", text)
	}
}

func TestAddToALogMadeByHand(t *testing.T) {
	// What is there stays byte by byte, in its own order of columns, and a last
	// line without an end gets one.
	path := filepath.Join(t.TempDir(), "log.csv")
	const hand = "# my motor\nOutcome; , \n"
	if err := os.WriteFile(path, []byte(hand), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := Add(path, Entry{Trials: []trial.Trial{one(trial.Unsure, 0)}, At: at}); err == nil {
		t.Error("added to what is no log")
	}
	const good = "# my motor\noutcome , wiring\nstall,p1p2p3/h1h2h3"
	if err := os.WriteFile(path, []byte(good), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := Add(path, Entry{Trials: []trial.Trial{one(commutation.Fault, 2)}, At: at}); err == nil || !strings.Contains(err.Error(), "no column amps") {
		t.Errorf("amps without a column: %v", err)
	}
	if err := Add(path, Entry{Trials: []trial.Trial{one(commutation.Fault, 0)}, At: at}); err != nil {
		t.Fatal(err)
	}
	if text, _ := os.ReadFile(path); string(text) != good+"\nfault,p1p3p2/h1h3h2\n" {
		t.Errorf("got\n%s", text)
	}
}

func TestSpeedWithoutAColumn(t *testing.T) {
	// The note keeps the speed, and it is read back from there.
	path := filepath.Join(t.TempDir(), "log.csv")
	if err := os.WriteFile(path, []byte("time,wiring,outcome,amps,note\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	fast := one(commutation.WeakForward, 4)
	fast.RPM = 900
	for _, note := range []string{"", "loud"} {
		if err := Add(path, Entry{Trials: []trial.Trial{fast}, At: at, Note: note}); err != nil {
			t.Fatal(err)
		}
	}
	if text, _ := os.ReadFile(path); !strings.Contains(string(text), "4,900 rpm\n") || !strings.Contains(string(text), "4,900 rpm; loud\n") {
		t.Errorf("got\n%s", text)
	}
	got, err := Read(path, "M")
	if err != nil || len(got) != 2 || got[0] != fast || got[1] != fast {
		t.Errorf("%+v %v", got, err)
	}
	// What only looks like it is a note; a speed that is none is an error.
	if got, err := Parse("log", []byte("wiring,outcome,note\nP1P2P3/H1H2H3,STALL,900 rpm or so\n")); err != nil || got[0].RPM != 0 || got[0].Outcome != commutation.Stall {
		t.Errorf("%+v %v", got, err)
	}
	if _, err := Parse("log", []byte("wiring,outcome,note\np1p2p3/h1h2h3,stall,0 rpm\n")); err == nil || !strings.HasPrefix(err.Error(), "log:2:21: ") {
		t.Errorf("%v", err)
	}
}

func TestBadLogs(t *testing.T) {
	// Positions counted by hand.
	for text, want := range map[string]string{
		"time,wiring\n":                                       "log:1:1: no column outcome",
		"wiring,outcome,colour\n":                             `log:1:16: column "colour" is not one of time, wiring, outcome, amps, rpm, note`,
		"wiring,wiring\n":                                     "log:1:8: column wiring again",
		"wiring,outcome\np1p2p3/h1h2h3\n":                     "log:2:1: 1 cells under 2 column names",
		"wiring,outcome\np1p2p3/h1h2h3,stall\np1/h1,stall\n":  "log:3:1: wiring \"p1/h1\" is not",
		"outcome,wiring\nstall,p1p2p3/h1h2h3\nok,p1p2p3/h1h2": "log:3:1: outcome \"ok\" is not one of",
		"wiring,outcome,amps\np1p2p3/h1h2h3,stall,-3\n":       "log:2:21: \"-3\" is not a positive number",
		"wiring,outcome\n\"p1\n":                              "log:2:5: extraneous or missing",
	} {
		if _, err := Parse("log", []byte(text)); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v", text, err)
		}
	}
	for _, text := range []string{"", "# nothing yet\n", "time,wiring,outcome,amps,note\n"} {
		if got, err := Parse("log", []byte(text)); err != nil || len(got) != 0 {
			t.Errorf("%q: %v %v", text, got, err)
		}
	}
	if _, err := Read(t.TempDir(), ""); err == nil {
		t.Error("a directory is read")
	}
}

func FuzzParse(f *testing.F) {
	f.Add("time,wiring,outcome,amps,rpm,note\n2024-05-01T12:00:00Z,p1p3p2/h1h3h2,stall,,,\n")
	f.Fuzz(func(t *testing.T, text string) {
		trials, err := Parse("log", []byte(text))
		if err != nil && !strings.HasPrefix(err.Error(), "log:") {
			t.Errorf("%v", err)
		}
		for _, one := range trials {
			if _, err := trial.ParseOutcome(string(one.Outcome)); err != nil {
				t.Error(err)
			}
		}
	})
}

// turned is a motor whose sensors rise 30 degrees and every 120 on after p1's
// back-EMF, whose own table is the most often published one (reference of the
// built-in typical); off is added to all.
func turned(off float64) commutation.Motor {
	var m commutation.Motor
	for i := range 3 {
		m.EMF[i] = commutation.Sine(1, 120*float64(i))
		rise := commutation.Wrap(30 + 120*float64(i) + off)
		m.Sensors[i] = commutation.Sensor{RiseDeg: rise, FallDeg: commutation.Wrap(rise + 180)}
	}
	return m
}

func TestOtherMotor(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.csv")
	mine := Motor(turned(0))
	if want := "001=p3+p2- 010=p2+p1- 011=p3+p1- 100=p1+p3- 101=p1+p2- 110=p2+p3-"; mine != want {
		t.Errorf("got %s, want %s", mine, want)
	}
	if err := Add(path, Entry{Trials: []trial.Trial{one(commutation.Stall, 0)}, At: at, Motor: mine}); err != nil {
		t.Fatal(err)
	}
	// Recorded anew the sensors are where they were, give or take some degrees.
	if got, err := Read(path, Motor(turned(10))); err != nil || len(got) != 1 {
		t.Errorf("the same motor: %v %v", got, err)
	}
	if _, err := Read(path, Motor(turned(60))); err == nil || !strings.Contains(err.Error(), "log.csv:1:1: the trials are of another motor") {
		t.Errorf("another: %v", err)
	}
	// A log made by hand need not say.
	if err := os.WriteFile(path, []byte("# motor: of the mower\nwiring,outcome\np1p2p3/h1h2h3,stall\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	if got, err := Read(path, mine); err != nil || len(got) != 1 {
		t.Errorf("made by hand: %v %v", got, err)
	}
}
