package main

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

const readmePath = "../../README.md"

func readFile(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// example is a block of README that begins with "$ handspin ARGUMENTS".
var example = regexp.MustCompile("(?ms)^```\n\\$ handspin ([^\n]*)\n(.*?)^```$")

// TestReadmeExamples runs each example of README at the top of the
// repository and compares.
func TestReadmeExamples(t *testing.T) {
	readme := readFile(t, readmePath)
	blocks := example.FindAllStringSubmatch(readme, -1)
	if len(blocks) == 0 {
		t.Fatal("README has no example")
	}
	t.Chdir("../..")
	for _, b := range blocks {
		got := handspin("", strings.Fields(b[1])...)
		if got.stdout+got.stderr == b[2] {
			continue
		}
		if !*update {
			t.Errorf("handspin %s printed\n%s", b[1], got.stdout+got.stderr)
			continue
		}
		readme = strings.Replace(readme, b[0], "```\n$ handspin "+b[1]+"\n"+got.stdout+got.stderr+"```", 1)
	}
	if *update {
		if err := os.WriteFile("README.md", []byte(readme), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// TestReadmeCommands: the commands that README shows without output work, and
// what it says runs the tests is what .ci/run runs. motor.csv is the demo's
// recording there; each wiring that README tries is the one that was called for.
func TestReadmeCommands(t *testing.T) {
	readme := readFile(t, readmePath)
	demo := readFile(t, demoFile)
	lines := strings.Split(strings.TrimSpace(readFile(t, "../../.ci/run")), "\n")
	if want := lines[len(lines)-1]; !strings.Contains(readme, "\n"+want+"\n```") {
		t.Errorf("README does not have the line %q of .ci/run", want)
	}
	t.Chdir(t.TempDir())
	if err := os.WriteFile("motor.csv", []byte(demo), 0o666); err != nil {
		t.Fatal(err)
	}
	ran, before := 0, ""
	for line := range strings.Lines(readme) {
		args, ok := strings.CutPrefix(strings.TrimSuffix(line, "\n"), "handspin ")
		if !ok || strings.Contains(args, "scope.csv") || strings.Contains(args, "--port") || !regexp.MustCompile("^[a-z]+ [-a-z]").MatchString(args) || strings.HasSuffix(args, ".") {
			continue
		}
		got := handspin("", strings.Fields(args)...)
		if got.status != done {
			t.Errorf("%s: %d %s", args, got.status, got.stderr)
		}
		if _, trial, ok := strings.Cut(args, "--tried "); ok && !strings.Contains(before, trial[:strings.Index(trial, "=")+1]+"WORD") {
			t.Errorf("%s: not what was called for:\n%s", args, before)
		}
		before = got.stdout
		ran++
	}
	if ran < 2 {
		t.Errorf("only %d commands in README", ran)
	}
}

// csvBlock is an example of a file in README.
var csvBlock = regexp.MustCompile("(?ms)^```csv\n(.*?)^```$")

// TestReadmeFiles: the files that README shows can be read as it says.
func TestReadmeFiles(t *testing.T) {
	blocks := csvBlock.FindAllStringSubmatch(readFile(t, readmePath), -1)
	if len(blocks) != 2 {
		t.Fatalf("README has %d files", len(blocks))
	}
	table := write(t, "table.csv", blocks[0][1])
	if got := handspin(blocks[1][1], "rank", "-", "--controller", table); got.status != done || !strings.Contains(got.stdout, "4 rows") {
		t.Errorf("%d %s%s", got.status, got.stdout, got.stderr)
	}
}
