package bench

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"handspin/capture"
	"handspin/capture/csvfile"
)

func TestParse(t *testing.T) {
	got, err := parse(filepath.Join("shed", "winch.toml"), []byte(`
[motor]
pole_pairs = 23
slots = 51
connection = "delta"
sensor_radius_mm = 22.5
[leads]
p1 = "yellow"
h1 = "white"
[controller]
table = "table.csv"
[[recording]]
file = "a.csv"
columns = "t=1:s,h1=2,h2=3"
[[recording]]
file = "b.csv"
sample_rate = 5000
[[recording]]
file = "-"
spin = 2
`))
	if err != nil {
		t.Fatal(err)
	}
	want := &Settings{
		PolePairs: 23, Slots: 51, Connection: "delta", SensorRadiusMM: 22.5,
		Leads: capture.Leads{Phase: [3]string{"yellow"}, Hall: [3]string{"white"}},
		Table: filepath.Join("shed", "table.csv"),
		Recordings: []Recording{
			{filepath.Join("shed", "a.csv"), csvfile.Options{Columns: "t=1:s,h1=2,h2=3"}, 0},
			{filepath.Join("shed", "b.csv"), csvfile.Options{SampleRate: 5000}, 0},
			{"-", csvfile.Options{}, 2},
		},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// Every mistake has its place, in words of the file.
func TestErrors(t *testing.T) {
	const rest = "[[recording]]\nfile = \"a\"\n"
	for text, want := range map[string]string{
		"[motor]\npole_pair = 3\n":                               "m.toml:2:1: unknown key motor.pole_pair",
		"[motor]\npole_pairs = \"x\"\n":                          "m.toml:2:14: motor.pole_pairs is to be a whole number",
		"[motor]\npole_pairs = 1.5\n":                            "m.toml:2:14: motor.pole_pairs is to be a whole number",
		"[motor]\nsensor_radius_mm = \"x\"\n":                    "m.toml:2:20: motor.sensor_radius_mm is to be a number of millimetres",
		"[[recording]]\nfile = \"a\"\nspin = -1\n":               "m.toml:3:1: spin must not be negative",
		"[[recording]]\nspin = \"one\"\n":                        "m.toml:2:8: recording.spin is to be a whole number",
		"[leads]\np1 = 3\n":                                      "m.toml:2:6: leads.p1 is to be a name in quotes",
		"[[recording]]\nfile = 3\n":                              "m.toml:2:8: recording.file is to be a name in quotes",
		"recording = \"a\"\n":                                    "m.toml:1:13: recording is to be written as a line [[recording]]",
		"motor = 3\n":                                            "m.toml:1:9: motor is to be a table",
		"[motor\n":                                               "m.toml:1:",
		"\ufeff[motor]\npole_pair = 3\n":                         "m.toml:2:1: unknown key motor.pole_pair",
		rest + "[[recording]]\ncolumns = \"t=1\"\n":              "m.toml:3:1: recording 2 names no file",
		"[leads]\np1 = \"yellow\"\n":                             "m.toml: the settings name no recording",
		rest + "[leads]\np1 = \"blue\"\np9 = \"yellow\"\n":       "m.toml:5:1: [leads]: lead \"p9\" is not one of",
		rest + "[leads]\np1 = \"blue\"\np2 = \"blue\"\n":         "m.toml:5:1: [leads]: two leads are named \"blue\"",
		rest + "[motor]\npole_pairs = -1\n":                      "m.toml:4:1: pole_pairs must not be negative",
		rest + "[motor]\nslots = -1\n":                           "m.toml:4:1: slots must not be negative",
		rest + "[motor]\n  connection = \"wye\"\n":               "m.toml:4:3: the connection is star or delta, not \"wye\"",
		rest + "[motor]\nsensor_radius_mm = nan\n":               "m.toml:4:1: sensor_radius_mm is no radius",
		"[[recording]]\nfile=\"-\"\n[[recording]]\nfile=\"-\"\n": "m.toml:2:1: standard input (file = \"-\") can be one recording only",
	} {
		_, err := parse("m.toml", []byte(text))
		var e *capture.SyntaxError
		if !errors.As(err, &e) || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v, want %s...", text, err, want)
		}
		if err != nil && strings.Contains(err.Error(), "bench.") {
			t.Errorf("%q: %v names a type of the program", text, err)
		}
	}
	if _, err := Load(filepath.Join(t.TempDir(), "none.toml")); err == nil || errors.Is(err, os.ErrInvalid) {
		t.Errorf("a missing file gives %v", err)
	}
}

// FuzzParse: whatever the text, there are settings or an error with its place.
func FuzzParse(f *testing.F) {
	for _, text := range []string{"[motor]\npole_pairs = 3\n[[recording]]\nfile = \"a\"\n", "[motor\n", "[leads]\np1 = 3\n", "recording = 3", "[[recording]]\nfile = \"-\"\nsample_rate = inf\n", "\ufeffa.b.c = 1"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		set, err := parse("m.toml", []byte(text))
		var e *capture.SyntaxError
		switch {
		case err == nil && len(set.Recordings) == 0:
			t.Fatal("no recording and no error")
		case err != nil && !errors.As(err, &e):
			t.Fatalf("%T: %v", err, err)
		}
	})
}
