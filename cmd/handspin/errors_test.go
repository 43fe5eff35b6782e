package main

import (
	"errors"
	"io"
	"io/fs"
	"strings"
	"testing"
	"testing/iotest"

	"handspin/capture/csvfile"
)

// spinText is a recording that can be read. That it cannot be ranked is for the
// verdict to say.
const spinText = "t_us,hall,p1,p2,p3\n0,101,1,2,3\n300,100,2,3,1\n"

// TestBadRecordings: what cannot be understood exits 1, with its position (counted
// by hand) and, where there is something to do, a hint.
func TestBadRecordings(t *testing.T) {
	const again = "handspin: hint: a recording has a row for each sample of the seconds in which the rotor turns: record again\n"
	for name, c := range map[string]struct{ text, want string }{
		"empty":       {"", "handspin: standard input:1:1: the file is empty\n" + again},
		"header only": {"t_us,hall,p1\n", "handspin: standard input:1:1: there is no row after the column names\n" + again},
		"one row":     {"t_us,hall,p1\n0,101,1\n", "handspin: standard input:2:1: there is only one row\n" + again},
		"binary": {"ab\x00\x01\x02\x03\x04\xff\xfe", "handspin: standard input:1:3: this is not text\n" +
			"handspin: hint: a recording is a CSV file or the text that the board sends\n"},
		"same column twice": {"t_us,p1,P1\n0,1,1\n1,1,1\n", "handspin: standard input:1:9: columns \"p1\" and \"P1\" are both p1\n" +
			"handspin: hint: say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are \"t_us\" \"p1\" \"P1\"\n"},
		"time stands still": {"t_us,hall\n5,101\n5,100\n5,110\n", "handspin: standard input:3:1: time stands still in all 3 rows\n" +
			"handspin: hint: name another time column with --columns 't=NAME:unit', or give --sample-rate HZ\n"},
		"time runs backward": {"t_us,hall\n5,101\n4,100\n3,110\n2,010\n", "handspin: standard input:3:1: time runs backward: 4 after 5 (3 of 4 rows cannot be read)\n" +
			"handspin: hint: say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are \"t_us\" \"hall\"\n"},
		"other names": {"X,CH1\n0,1\n1,2\n", "handspin: standard input:1:1: no column has a name of the recording format (t_us hall p1 p2 p3 ...)\n" +
			"handspin: hint: say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are \"X\" \"CH1\"\n"},
	} {
		t.Run(name, func(t *testing.T) {
			if got := handspin(c.text, "rank", "-"); got != (result{failed, "", c.want}) {
				t.Errorf("got %d\n%s%s\nwant\n%s", got.status, got.stdout, got.stderr, c.want)
			}
		})
	}
}

func TestFilesThatCannotBeHad(t *testing.T) {
	dir := t.TempDir()
	for path, want := range map[string]string{
		dir: "handspin: " + dir + ": this is a directory\nhandspin: hint: name a file in it\n",
		dir + "/none.csv": "handspin: " + dir + "/none.csv: there is no such file\n" +
			"handspin: hint: check the spelling and the folder\n",
	} {
		if got := handspin("", "rank", path); got != (result{failed, "", want}) {
			t.Errorf("%s: got %d\n%s%s\nwant\n%s", path, got.status, got.stdout, got.stderr, want)
		}
	}
}

// TestNoPermission: the administrator may read everything, so the error comes
// from a reader that refuses instead of a file.
func TestNoPermission(t *testing.T) {
	var stdout, stderr strings.Builder
	refusal := &fs.PathError{Op: "read", Path: "x", Err: fs.ErrPermission}
	status := run(t.Context(), []string{"rank", "-"}, iotest.ErrReader(refusal), &stdout, &stderr)
	want := "handspin: standard input: there is no permission to read the file\n" +
		"handspin: hint: look at its permissions, or copy it\n"
	if status != failed || stdout.String() != "" || stderr.String() != want {
		t.Errorf("got %d\n%s%s", status, stdout.String(), stderr.String())
	}
	got := noTable("t.csv", refusal)
	if got.Error() != "t.csv: the drive table cannot be read: permission denied" {
		t.Errorf("drive table: %v", got)
	}
}

// TestBadFlags: flags that make no sense, or do not fit the file, exit 2.
func TestBadFlags(t *testing.T) {
	help := func(command string) string {
		return "handspin: hint: handspin " + command + " --help tells how to use it\n"
	}
	for line, want := range map[string]string{
		"rank - --columns t=A:s,p1=C": "handspin: --columns: there is no column \"A\" for t\n" +
			"handspin: hint: in standard input the columns are \"t_us\" \"hall\" \"p1\" \"p2\" \"p3\"\n",
		"rank - --columns t=t_us:us,p1=p1,p2=p1": "handspin: --columns: column \"p1\" is used twice, for p1 and p2\n" +
			"handspin: hint: in standard input the columns are \"t_us\" \"hall\" \"p1\" \"p2\" \"p3\"\n",
		"rank - --sample-rate -3": "handspin: --sample-rate: -3 is not a rate\n" +
			"handspin: hint: give the rows per second, such as --sample-rate 3200\n",
		"rank":                           "handspin: rank takes at least one FILE\n" + help("rank"),
		"confirm a b":                    "handspin: confirm takes one FILE, not 2\n" + help("confirm"),
		"rank - --format pdf":            "handspin: invalid argument \"pdf\" for \"--format\" flag: it is one of text, markdown, csv, json, jsonl\n" + help("rank"),
		"rank - --spun up":               "handspin: invalid argument \"up\" for \"--spun\" flag: it is one of forward, backward\n" + help("rank"),
		"rank - --leads p4=x":            "handspin: invalid argument \"p4=x\" for \"--leads\" flag: lead \"p4\" is not one of p1 p2 p3 h1 h2 h3\n" + help("rank"),
		"rank - --nosuch":                "handspin: unknown flag: --nosuch\n" + help("rank"),
		"demo x":                         "handspin: demo takes no FILE, and so not \"x\"\n" + help("demo"),
		"inspect - --pole-pairs -3":      "handspin: invalid argument \"-3\" for \"--pole-pairs\" flag: \"-3\" is not a whole number from 1 to 1000000\n" + help("inspect"),
		"inspect - --sensor-radius -9":   "handspin: invalid argument \"-9\" for \"--sensor-radius\" flag: it is from 0.1 to 10000\n" + help("inspect"),
		"simulate --noise x":             "handspin: invalid argument \"x\" for \"--noise\" flag: \"x\" is not a number\n" + help("simulate"),
		"simulate --noise -1":            "handspin: noise in counts is -1, it must be from 0 to 1e+09\n",
		"simulate --stuck-low h4":        "handspin: invalid argument \"h4\" for \"--stuck-low\" flag: \"h4\" is not one of h1 h2 h3\n" + help("simulate"),
		"simulate --sensor-error h1:3":   "handspin: invalid argument \"h1:3\" for \"--sensor-error\" flag: \"h1:3\" is not of the form KEY=NUMBER\n" + help("simulate"),
		"simulate --phase-order 122":     "handspin: invalid argument \"122\" for \"--phase-order\" flag: \"122\" is not the digits 1 2 3 in some order\n" + help("simulate"),
		"simulate --pushes 4":            "handspin: invalid argument \"4\" for \"--pushes\" flag: \"4\" is not of the form COUNTxHZ, as in 4x12\n" + help("simulate"),
		"simulate --magnet 3=0.9":        "handspin: --magnet is for a motor coil by coil: give --slots N, too\n",
		"inspect - --layout AbC":         "handspin: --layout is of a stator whose teeth are counted: give --slots N, too\n",
		"simulate --skew 1,2":            "handspin: invalid argument \"1,2\" for \"--skew\" flag: 3 numbers are needed, with commas between them\n" + help("simulate"),
		"simulate --drill 5 --turns 2":   "handspin: if any flags in the group [pushes back-and-forth drill turns] are set none of the others can be; [drill turns] were all set\n" + help("simulate"),
		"simulate --edge-rows perhaps":   "handspin: invalid argument \"perhaps\" for \"--edge-rows\" flag: it is yes or no\n" + help("simulate"),
		"simulate --harmonics five=0.05": "handspin: invalid argument \"five=0.05\" for \"--harmonics\" flag: \"five\" is not the order of a harmonic\n" + help("simulate"),
	} {
		if got := handspin(spinText, strings.Fields(line)...); got != (result{misuse, "", want}) {
			t.Errorf("%s: got %d\n%s%s\nwant\n%s", line, got.status, got.stdout, got.stderr, want)
		}
	}
	unknown := "handspin: unknown command \"rnak\" for \"handspin\"\nhandspin: hint: handspin --help tells how to use it\n"
	if got := handspin("", "rnak"); got != (result{misuse, "", unknown}) {
		t.Errorf("rnak: got %+v", got)
	}
	unknown = strings.ReplaceAll(unknown, "handspin --help tells how to use it", "handspin help lists the commands")
	if got := handspin("", "help", "rnak"); got != (result{misuse, "", unknown}) {
		t.Errorf("help rnak: got %+v", got)
	}
}

// TestRecordingGivenTwice: a copy of a recording is no second recording.
func TestRecordingGivenTwice(t *testing.T) {
	text, _ := simulate(t, "--seed 3")
	one, two := write(t, "one.csv", text), write(t, "two.csv", text)
	for _, args := range [][]string{{"rank", one, two}, {"rank", one, one}, {"inspect", two, one}} {
		got := handspin("", args...)
		if got.status != failed || got.stdout != "" || !strings.Contains(got.stderr, " hold the same recording\nhandspin: hint: give each recording once") {
			t.Errorf("%v: got %+v", args, got)
		}
	}
	other, _ := simulate(t, "--seed 3 --noise 2")
	if got := handspin("", "rank", one, write(t, "other.csv", other)); got.status != done {
		t.Errorf("two spins: got %+v", got)
	}
}

// TestBadTables: a drive table that cannot be understood exits 1.
func TestBadTables(t *testing.T) {
	const good = "state,high,low\n101,U,V\n100,U,W\n110,V,W\n010,V,U\n011,W,U\n"
	for name, c := range map[string]struct{ text, want string }{
		"repeated state":   {good + "101,W,V\n", ":7:1: state 101 again, after line 2"},
		"unknown terminal": {good + "001,X,V\n", `:7:5: terminal "X" is none of U, V, W`},
		"high is low":      {good + "001,W,W\n", ":7:7: terminal W is both high and low"},
		"too few states":   {good, ":6:1: the table ends after 5 states, but six-step drive has six"},
		"empty":            {"", ":1:1: no line state,high,low"},
	} {
		t.Run(name, func(t *testing.T) {
			path := write(t, "table.csv", c.text)
			got := handspin(spinText, "rank", "-", "--controller", path)
			message, hint, _ := strings.Cut(got.stderr, "\n")
			if got.status != failed || got.stdout != "" || message != "handspin: "+path+c.want {
				t.Errorf("got %d %q, want %q", got.status, message, path+c.want)
			}
			if !strings.HasPrefix(hint, "handspin: hint: ") {
				t.Errorf("hint %q", hint)
			}
		})
	}
	want := "handspin: odd: there is no such drive table\n" +
		"handspin: hint: --controller takes typical, typical-60 or a CSV file with the columns state,high,low\n"
	if got := handspin(spinText, "rank", "-", "--controller", "odd"); got != (result{failed, "", want}) {
		t.Errorf("got %+v", got)
	}
}

// TestControlCharacters: nothing that a terminal would obey passes from the
// command line or a file to either stream.
func TestControlCharacters(t *testing.T) {
	const evil = "\x1b[2J\u009b\u202e\x7f"
	text := "# note: " + evil + "\n# leads: p1=a\u202eb\n" + spinText
	for _, args := range [][]string{
		{"rank", "-"}, {"rank", "-", "--format", "json"}, {"rank", "-", "--format", "markdown"}, {"rank", "-", "--format", "csv"},
		{"rank", evil}, {evil}, {"rank", "-", "--controller", evil}, {"rank", "-", "--format", evil}, {"rank", "-", "--leads", evil},
	} {
		got := handspin(text, args...)
		if strings.ContainsAny(got.stdout+got.stderr, evil[:1]+"\u009b\u202e\x7f") {
			t.Errorf("%q: %q %q", args, got.stdout, got.stderr)
		}
	}
}

// TestOutputErrors: an output that cannot be written fails the command.
func TestOutputErrors(t *testing.T) {
	for _, line := range []string{"demo", "demo --format json", "demo --format csv", "demo --format markdown", "simulate --turns 2"} {
		var stderr strings.Builder
		status := run(t.Context(), strings.Fields(line), strings.NewReader(""), brokenWriter{}, &stderr)
		if status != failed || stderr.String() != "handspin: short write\n" {
			t.Errorf("%s: got %d %q", line, status, stderr.String())
		}
	}
	for _, line := range []string{"simulate --turns 2 -o /nonexistent/x.csv", "simulate --turns 2 --truth /nonexistent/x.json"} {
		got := handspin("", strings.Fields(line)...)
		if got.status != failed || !strings.Contains(got.stderr, "/nonexistent/x.") || !strings.Contains(got.stderr, "hint: make the folder /nonexistent first") {
			t.Errorf("%s: got %d %q", line, got.status, got.stderr)
		}
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, io.ErrShortWrite }

// TestIsUsage: the errors that mean wrong usage are found when wrapped, too.
func TestIsUsage(t *testing.T) {
	for _, err := range []error{&csvfile.OptionError{}, usageError{io.EOF}} {
		if !isUsage(errors.Join(io.EOF, err)) {
			t.Errorf("%T is not wrong usage", err)
		}
	}
	if isUsage(io.EOF) {
		t.Error("the end of a file is wrong usage")
	}
}
