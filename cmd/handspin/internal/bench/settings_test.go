package bench

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"handspin/capture"
	"handspin/capture/csvfile"
)

func TestParse(t *testing.T) {
	got, err := parse(filepath.Join("shed", "winch.toml"), []byte(`
[motor]
pole_pairs = 23
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
`))
	if err != nil {
		t.Fatal(err)
	}
	want := &Settings{
		PolePairs: 23,
		Leads:     capture.Leads{Phase: [3]string{"yellow"}, Hall: [3]string{"white"}},
		Table:     filepath.Join("shed", "table.csv"),
		Recordings: []Recording{
			{filepath.Join("shed", "a.csv"), csvfile.Options{Columns: "t=1:s,h1=2,h2=3"}},
			{filepath.Join("shed", "b.csv"), csvfile.Options{SampleRate: 5000}},
		},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, want %+v", got, want)
	}
}

func TestErrors(t *testing.T) {
	for text, want := range map[string]string{
		"[motor]\npole_pair = 3\n":                                "m.toml:2:1: unknown key motor.pole_pair",
		"[motor]\npole_pairs = \"x\"\n":                           "m.toml:2:14: ",
		"[motor\n":                                                "m.toml:1:",
		"[[recording]]\ncolumns = \"t=1\"\n":                      "m.toml: recording 1 names no file",
		"[leads]\np1 = \"yellow\"\n":                              "m.toml: the settings name no recording",
		"[leads]\np9 = \"yellow\"\n":                              "m.toml: [leads]: ",
		"[motor]\npole_pairs = -1\n[[recording]]\nfile = \"a\"\n": "m.toml: pole_pairs must not be negative",
	} {
		_, err := parse("m.toml", []byte(text))
		var e *capture.SyntaxError
		if !errors.As(err, &e) || len(err.Error()) < len(want) || err.Error()[:len(want)] != want {
			t.Errorf("%q: %v, want %s...", text, err, want)
		}
	}
	if _, err := Load(filepath.Join(t.TempDir(), "none.toml")); err == nil || errors.Is(err, os.ErrInvalid) {
		t.Errorf("a missing file gives %v", err)
	}
}
