package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// workshop makes a folder with the files that examples name, and goes there: motor.csv
// and the like are the demo's recording, the others what their names say.
func workshop(t *testing.T) {
	t.Helper()
	demo, two := readFile(t, demoFile), "../../testdata/two-channel/"
	files := map[string]string{
		"table.csv": "state,high,low\n101,U,V\n100,U,W\n110,V,W\n010,V,U\n011,W,U\n001,W,V\n",
		"rest.csv":  readFile(t, "../../testdata/rest.csv"),
		"scope.csv": "Time,D0,D1,D2,CH1,CH2,CH3\n",
	}
	for _, name := range []string{"motor.csv", "spin.csv", "plugged.csv", "before.csv", "stand/1.csv"} {
		files[name] = demo
	}
	for _, name := range []string{"motor.toml", "h1-h2.csv.gz", "h1-h3.csv.gz", "h1-p12.csv.gz", "h1-p23.csv.gz"} {
		files[name] = readFile(t, two+name)
	}
	files["after.csv"] = handspin("", "simulate", "--seed", "3").stdout
	plain := handspin("", "simulate", "--seed", "3", "--kind", "sampled-halls")
	files["scope.csv"] = columnsRenamed(t, plain.stdout)
	t.Chdir(t.TempDir())
	for name, text := range files {
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// columnsRenamed turns a recording with the columns t_us,hall,p1,p2,p3 into what a
// scope writes: seconds, single levels, names of channels.
func columnsRenamed(t *testing.T, text string) string {
	t.Helper()
	rows := regexp.MustCompile(`(?m)^(\d+),([01])([01])([01]),([-.\d]+),([-.\d]+),([-.\d]+)$`)
	out := []string{"Time,D0,D1,D2,CH1,CH2,CH3"}
	for _, m := range rows.FindAllStringSubmatch(text, -1) {
		us := strings.Repeat("0", max(0, 7-len(m[1]))) + m[1]
		out = append(out, us[:len(us)-6]+"."+us[len(us)-6:]+","+strings.Join(m[2:], ","))
	}
	if len(out) < 1000 {
		t.Fatalf("%d rows of\n%.500s", len(out), text)
	}
	return strings.Join(out, "\n") + "\n"
}

// words splits a command line as a shell does, as far as the examples need it.
func words(line string) (out []string) {
	for _, m := range regexp.MustCompile(`'([^']*)'|"([^"]*)"|(\S+)`).FindAllStringSubmatch(line, -1) {
		word := m[1] + m[2] + m[3]
		if found, err := filepath.Glob(word); err == nil && strings.Contains(word, "*") {
			out = append(out, found...)
			continue
		}
		out = append(out, word)
	}
	return out
}

// runLine runs a command line of a text. What needs a board is only parsed, by asking
// for help beside it.
func runLine(t *testing.T, line string) {
	t.Helper()
	stdin := ""
	for part := range strings.SplitSeq(line, " | ") {
		args := words(part)
		if args[0] != "handspin" {
			return
		}
		args = args[1:]
		if strings.Contains(part, "--port") || args[0] == "ports" {
			args = append(args, "--help")
		}
		got := handspin(stdin, args...)
		if got.status != done && got.stderr != "" { // without a complaint the answer is no
			t.Errorf("%s: %d %s%s", line, got.status, got.stdout, got.stderr)
		}
		stdin = got.stdout
	}
}

// TestEveryCommandHasAnExample runs what the help texts show, and holds them to 80
// columns.
func TestEveryCommandHasAnExample(t *testing.T) {
	started := false
	root := newRoot(&started)
	workshop(t)
	for _, cmd := range root.Commands() {
		if cmd.Hidden || cmd.Name() == "help" || cmd.Name() == "completion" {
			continue
		}
		if cmd.Example == "" {
			t.Errorf("%s has no example", cmd.Name())
		}
		for line := range strings.Lines(strings.ReplaceAll(cmd.Example, "\\\n", "")) {
			if strings.TrimSpace(line) != "" {
				runLine(t, strings.TrimSpace(line))
			}
		}
		for line := range strings.Lines(handspin("", cmd.Name(), "--help").stdout) {
			if len([]rune(strings.TrimSuffix(line, "\n"))) > 80 {
				t.Errorf("%s --help is wider than 80 columns: %s", cmd.Name(), line)
			}
		}
	}
}

// TestManual runs every command line of the guide, and README leads to it.
func TestManual(t *testing.T) {
	if !strings.Contains(readFile(t, readmePath), "(cmd/handspin/guide.md)") {
		t.Error("README does not lead to the guide")
	}
	workshop(t)
	if got := handspin("", "guide"); got.stdout != manual || got.status != done {
		t.Errorf("%d %s", got.status, got.stderr)
	}
	ran := 0
	for line := range strings.Lines(manual) {
		if len([]rune(strings.TrimSuffix(line, "\n"))) > 80 {
			t.Errorf("wider than 80 columns: %s", line)
		}
		if strings.HasPrefix(line, "handspin ") {
			runLine(t, strings.TrimSpace(line))
			ran++
		}
	}
	if ran < 12 {
		t.Errorf("%d commands in the guide", ran)
	}
	rest := csvBlock.FindStringSubmatch(manual)
	if got := handspin(rest[1], "rank", "-"); got.status != done || !strings.HasPrefix(got.stdout, "Ranked") {
		t.Errorf("the guide's rest positions: %d %s%s", got.status, got.stdout, got.stderr)
	}
}

// The guide's dividers are those of the board's README, which are checked against
// Ohm's law there: its rated voltages, R1, and the range to whole volts, rounded down.
func TestGuideDividers(t *testing.T) {
	board := readFile(t, "../../firmware/README.md")
	rows := regexp.MustCompile(`(?m)^\| (?:up to )?([^|]+?) +\| (\d+) kOhm +\| 10 kOhm +\| (\d+) V`).FindAllStringSubmatch(manual, -1)
	if len(rows) != 4 {
		t.Errorf("%d rows of dividers in the guide", len(rows))
	}
	for _, row := range rows {
		for _, rated := range regexp.MustCompile(`\d+`).FindAllString(row[1], -1) {
			if !strings.Contains(board, "| "+rated+" | "+row[2]+" |") {
				t.Errorf("the board's README has no %s V with %s kOhm", rated, row[2])
			}
		}
		if !regexp.MustCompile(`\| ` + row[2] + ` \| 10 \| [\d.]+ \| ` + row[3] + `\.\d \|`).MatchString(board) {
			t.Errorf("the board's README has another range than %s V for %s kOhm", row[3], row[2])
		}
	}
}

// completions are what the shell is offered after args.
func completions(args ...string) string {
	return handspin("", append([]string{cobra.ShellCompRequestCmd}, args...)...).stdout
}

// The shell is offered files of the right kinds, words of flags, and drive tables; the
// number in the last line is cobra's directive: 4 no files, 8 files by ending.
func TestCompletion(t *testing.T) {
	for _, c := range []struct {
		args []string
		want []string
	}{
		{[]string{"rank", ""}, []string{"csv\n", "vcd\n", "toml\n", ":8\n"}},
		{[]string{"confirm", ""}, []string{"csv\n", "gz\n", ":8\n"}},
		{[]string{"rank", "--format", ""}, []string{"text\n", "jsonl\n", ":4\n"}},
		{[]string{"rank", "--controller", ""}, []string{"typical\n", "typical-60\n", ":0\n"}},
		{[]string{"record", "--port", ""}, []string{":4\n"}},
		{[]string{"demo", ""}, []string{":4\n"}},
		{[]string{"rep"}, []string{"report\t"}},
	} {
		got := completions(c.args...)
		for _, want := range c.want {
			if !strings.Contains(got, want) {
				t.Errorf("%q offers %q, not %q", c.args, got, want)
			}
		}
	}
	for _, shell := range []string{"bash", "zsh", "fish", "powershell"} {
		if got := handspin("", "completion", shell); got.status != done || len(got.stdout) < 500 {
			t.Errorf("%s: %d %s", shell, got.status, got.stderr)
		}
	}
}

// TestMan: a page for each command, in the format of man(7), with its flags, the same
// whenever it is written.
func TestMan(t *testing.T) {
	write := func() (pages map[string]string) {
		dir := filepath.Join(t.TempDir(), "man1")
		if got := handspin("", "man", dir); got.status != done {
			t.Fatal(got.stderr)
		}
		found, err := filepath.Glob(filepath.Join(dir, "*.1"))
		if err != nil {
			t.Fatal(err)
		}
		pages = map[string]string{}
		for _, path := range found {
			pages[filepath.Base(path)] = readFile(t, path)
		}
		return pages
	}
	pages, again := write(), write()
	for name, text := range pages {
		if !strings.Contains(text, ".TH ") || text != again[name] {
			t.Errorf("%s: %.200s", name, text)
		}
	}
	if text := pages["handspin-rank.1"]; !strings.Contains(text, "controller") || !strings.Contains(text, "rank motor.csv") || strings.Contains(text, "0001") || len(pages) < 15 {
		t.Errorf("%d pages\n%.600s", len(pages), text)
	}
}
