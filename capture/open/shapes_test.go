package open

import (
	"errors"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"handspin/capture"
	"handspin/capture/csvfile"
)

const shapesFolder = "../../testdata/shapes/"

// shapeFile is what a file of testdata/shapes holds. Times, levels and values are
// the file's own cells, rearranged by hand: time in seconds from the first row,
// levels of h1 h2 h3, an e for an edge row, values with - for a missing one.
type shapeFile struct {
	name    string
	columns string
	rate    float64
	rows    int
	first   string // the first rows, parted by |
	scale   float64
	signals string
	notes   string // parted by |
	// err and hint are of a file that is refused, err without the file's name.
	err, hint string
}

// TestShapeFiles reads every file of the folder.
func TestShapeFiles(t *testing.T) {
	for _, s := range shapeFiles {
		t.Run(s.name+s.columns, func(t *testing.T) {
			path := shapesFolder + s.name
			rec, err := Path(path, nil, csvfile.Options{Columns: s.columns, SampleRate: s.rate})
			if s.err != "" {
				if err == nil || strings.TrimPrefix(err.Error(), path+":") != s.err || hintOf(err) != s.hint {
					t.Errorf("%v\n%s\nwant\n%s\n%s", err, hintOf(err), s.err, s.hint)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if got := describe(rec, 1+strings.Count(s.first, "|")); got != s.first || rec.Rows() != s.rows {
				t.Errorf("%d rows\n%s\nwant %d\n%s", rec.Rows(), got, s.rows, s.first)
			}
			if got := signals(rec); got != s.signals || rec.VoltsPerUnit != s.scale {
				t.Errorf("%s, %g V per unit; want %s, %g", got, rec.VoltsPerUnit, s.signals, s.scale)
			}
			if got := strings.Join(rec.Notes, "|"); got != s.notes {
				t.Errorf("notes\n%s\nwant\n%s", got, s.notes)
			}
			if want := damaged[s.name]; rec.BadRows != want {
				t.Errorf("%d damaged rows, want %d: %v", rec.BadRows, want, rec.Damage)
			}
		})
	}
}

// damaged are the rows of a file that cannot be read: the serial monitor's first
// line is the end of one.
var damaged = map[string]int{"serial-monitor.txt": 1}

// TestEveryShapeFileIsRead: no file of the folder is left out.
func TestEveryShapeFileIsRead(t *testing.T) {
	entries, err := os.ReadDir(shapesFolder)
	if err != nil {
		t.Fatal(err)
	}
	readme, err := os.ReadFile(shapesFolder + "README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		named := slices.ContainsFunc(shapeFiles, func(s shapeFile) bool { return s.name == e.Name() })
		if e.Name() != "README.md" && (!named || !strings.Contains(string(readme), "`"+e.Name()+"`")) {
			t.Errorf("%s is not read or not described", e.Name())
		}
	}
}

// describe prints the first n rows. Nine digits hide the rounding of differences
// of times, 1e-16, and nothing that the files have.
func describe(rec *capture.Recording, n int) string {
	var rows []string
	for i := range min(n, rec.Rows()) {
		row := fmt.Sprintf("%.9g %s", math.Round(rec.Time[i]*1e12)/1e12, rec.Hall[i])
		if rec.Edge[i] {
			row += " e"
		}
		for _, c := range rec.Columns {
			if math.IsNaN(c.Value[i]) {
				row += " -"
			} else {
				row += fmt.Sprintf(" %.9g", c.Value[i])
			}
		}
		rows = append(rows, row)
	}
	return strings.Join(rows, "|")
}

func signals(rec *capture.Recording) string {
	var names []string
	for _, c := range rec.Columns {
		names = append(names, c.Signal.String()+"="+c.Source)
	}
	return strings.Join(names, ",")
}

func hintOf(err error) string {
	if e, ok := errors.AsType[*capture.SyntaxError](err); ok {
		return e.Hint
	}
	if e, ok := errors.AsType[*csvfile.OptionError](err); ok {
		return e.Hint
	}
	return ""
}
