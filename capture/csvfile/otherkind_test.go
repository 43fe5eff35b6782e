package csvfile

import (
	"fmt"
	"strings"
	"testing"
)

// Files of other kinds are named, with the way to a text. What they begin with is
// from memory.
func TestOtherKinds(t *testing.T) {
	for text, want := range map[string]string{
		"PK\x03\x04\x14\x00\x06": "f:1:1: this is no text of rows: it is a ZIP archive, as a workbook or a saved session is",
		"\n <!DOCTYPE html>\n":   "f:1:1: this is no text of rows: it is a web page",
		`{\rtf1\ansi 0,1\par}`:   "f:1:1: this is no text of rows: it is a formatted text",
	} {
		if _, err := Parse([]byte(text), "f", Options{}); err == nil || err.Error() != want {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
}

// A table in front of the one that has the names is not left out.
func TestTwoTables(t *testing.T) {
	var text strings.Builder
	text.WriteString("Time (s),U (V)\n")
	for i := range 60 {
		fmt.Fprintf(&text, "%d,%d.5\n", i, i%7)
	}
	text.WriteString("Time (s),h1,h2,h3\n")
	for i := range 60 {
		fmt.Fprintf(&text, "%d,%d,1,0\n", i, i%2)
	}
	_, err := Parse([]byte(text.String()), "f", Options{})
	if want := "f:2:1: the file has two tables: 60 rows stand before the column names that are used"; err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
}

// A unit by which the rows would be too far apart is doubted, and a second clock is
// no phase.
func TestClocksThatDisagree(t *testing.T) {
	var text strings.Builder
	text.WriteString("Time (ms),Clock,U (V)\n")
	for i := range 60 {
		fmt.Fprintf(&text, "%d,%d,%d.5\n", 500*i, 7*i, i%7)
	}
	rec, err := Parse([]byte(text.String()), "f", Options{})
	if err != nil || len(rec.Columns) != 1 {
		t.Fatalf("%v, %v", rec, err)
	}
	notes := strings.Join(rec.Notes, "|")
	for _, want := range []string{`columns that are not used: "Clock"`, "by the file the time is in ms, so that the rows are 0.5 s apart; if it is in us, say so with --columns 't=Time:us'"} {
		if !strings.Contains(notes, want) {
			t.Errorf("%s, want %s", notes, want)
		}
	}
}
