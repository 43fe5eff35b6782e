package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// stand makes the recordings of a test stand: sound ones, one with a dead sensor, one
// of too little, a broken file and one that is not there.
func stand(t *testing.T) (paths []string, verdicts []string) {
	t.Helper()
	dir := t.TempDir()
	for i, c := range [][]string{nil, {"--stuck-low", "h2"}, nil, {"--turns", "1"}, nil} {
		path := filepath.Join(dir, fmt.Sprintf("motor %d.csv", i))
		if got := handspin("", append([]string{"simulate", "--seed", "3", "-o", path}, c...)...); got.status != done {
			t.Fatal(got.stderr)
		}
		paths = append(paths, path)
	}
	broken := filepath.Join(dir, "broken\x1b[31m.csv")
	if err := os.WriteFile(broken, []byte("no recording, \"at all\"\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	return append(paths[:3:3], append([]string{broken, filepath.Join(dir, "gone.csv")}, paths[3:]...)...),
		strings.Fields("ranked repair-first ranked failed failed more-data ranked")
}

// TestEachAsCSV: one line for a file in the order of the files, a wiring only where it
// holds, and what fails neither stops the others nor passes for done.
func TestEachAsCSV(t *testing.T) {
	paths, verdicts := stand(t)
	got := handspin("", append([]string{"rank", "--each", "--format", "csv"}, paths...)...)
	rows, err := csv.NewReader(strings.NewReader(got.stdout)).ReadAll()
	if err != nil || got.status != failed || len(rows) != len(paths)+1 || strings.Contains(got.stdout+got.stderr, "\x1b") {
		t.Fatalf("%d %v\n%s%s", got.status, err, got.stdout, got.stderr)
	}
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	for i, row := range rows[1:] {
		if cell := row[at["file"]]; cell != strings.ReplaceAll(paths[i], "\x1b", `\x1b`) || row[at["verdict"]] != verdicts[i] {
			t.Errorf("line %d is %q, want %s %s", i+1, row, paths[i], verdicts[i])
		}
		if (row[at["U"]] != "") != (verdicts[i] == "ranked") || (row[at["error"]] != "") != (verdicts[i] == "failed") {
			t.Errorf("line %d: %q", i+1, row)
		}
	}
	if n := strings.Count(got.stderr, "handspin: "); n < 2 || !strings.Contains(got.stderr, "gone.csv") {
		t.Errorf("complaints: %s", got.stderr)
	}
	alone := handspin("", "rank", paths[0], "--format", "csv")
	first := strings.Split(strings.Split(alone.stdout, "\n")[1], ",")
	if want := strings.Join(first[2:8], ","); strings.Join(rows[1][at["U"]:at["HW"]+1], ",") != want {
		t.Errorf("the wiring is %q, alone %s", rows[1], want)
	}
}

// TestEachAsJSON: each line is the document that the file gives by itself.
func TestEachAsJSON(t *testing.T) {
	paths, verdicts := stand(t)
	got := handspin("", append([]string{"rank", "--each", "--format", "jsonl"}, paths...)...)
	lines := strings.Split(strings.TrimSuffix(got.stdout, "\n"), "\n")
	if len(lines) != len(paths) || got.status != failed {
		t.Fatalf("%d lines, status %d", len(lines), got.status)
	}
	for i, line := range lines {
		if verdicts[i] == "failed" {
			var d struct{ Schema, File, Error string }
			if err := json.Unmarshal([]byte(line), &d); err != nil || d.File != paths[i] || d.Error == "" || d.Schema != "handspin.failed/1" {
				t.Errorf("%v %s", err, line)
			}
			continue
		}
		if alone := handspin("", "rank", paths[i], "--format", "jsonl"); alone.stdout != line+"\n" {
			t.Errorf("%s: not what it gives alone", paths[i])
		}
	}
}

// All done is status 0; a settings file is a motor as well, and does not change the next.
func TestEachOfSettings(t *testing.T) {
	got := handspin("", "rank", "--each", "../../testdata/two-channel/motor.toml", demoFile)
	if got.status != done || strings.Count(got.stdout, "\n") != 3 || !strings.Contains(got.stdout, "striped") || !strings.Contains(got.stdout, "yellow") || got.stderr != "" {
		t.Errorf("%d %s%s", got.status, got.stdout, got.stderr)
	}
}

func TestEachMisuse(t *testing.T) {
	for _, args := range [][]string{
		{"--each"}, {"--each", "--port", "x"}, {"--each", "--format", "markdown", demoFile}, {"--each", "--format", "json", demoFile},
	} {
		if got := handspin("", append([]string{"rank"}, args...)...); got.status != misuse || got.stdout != "" {
			t.Errorf("%q: %d %s", args, got.status, got.stderr)
		}
	}
}
