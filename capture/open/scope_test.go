package open

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"handspin/capture/csvfile"
)

// Real oscilloscopes' files, read without a flag. The rows, the first and last
// times and values are the files' own: testdata/scope/drill-ch1.csv says Record
// Length 2500 and Sample Interval 4E-5, chan1.csv.gz has 130,897 lines of which
// the first has the units.
func TestRealScopes(t *testing.T) {
	for _, c := range []struct {
		name           string
		rows           int
		seconds        float64
		first, last    float64
		source, assume string
	}{
		{"drill-ch1.csv", 2500, 0.04996 + 0.05, -2.04, -1.52, "CH1", "by their order the columns are taken: CH1 for p1; --columns says otherwise"},
		{"chan1.csv.gz", 130896, 0.3000228 + 0.29999988, 0.89530945, -0.72822571, "C1", "by their order the columns are taken: C1 for p1; --columns says otherwise"},
	} {
		rec, err := Path("../../testdata/scope/"+c.name, nil, csvfile.Options{})
		if err != nil {
			t.Fatal(err)
		}
		v := rec.Columns[0]
		// Times are differences of numbers near 0.3, rounded to 1e-16.
		if rec.Rows() != c.rows || rec.BadRows != 0 || math.Abs(rec.Seconds()-c.seconds) > 1e-12 || rec.VoltsPerUnit != 1 ||
			len(rec.Columns) != 1 || v.Source != c.source || v.Value[0] != c.first || v.Value[c.rows-1] != c.last {
			t.Errorf("%s: %d rows, %d bad, %v s, %g V, %d columns, %s from %v to %v", c.name, rec.Rows(), rec.BadRows, rec.Seconds(),
				rec.VoltsPerUnit, len(rec.Columns), v.Source, v.Value[0], v.Value[c.rows-1])
		}
		if len(rec.Notes) != 1 || rec.Notes[0] != c.assume {
			t.Errorf("%s: %q", c.name, rec.Notes)
		}
	}
}

// FuzzRead: whatever the bytes, plain or packed, there is a recording or an error
// that is fit to print.
func FuzzRead(f *testing.F) {
	paths, err := filepath.Glob(shapesFolder + "*.*")
	if err != nil || len(paths) == 0 {
		f.Fatal("no shape file", err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
		f.Add(string(pack(f, string(text))))
	}
	f.Fuzz(func(t *testing.T, text string) {
		rec, err := read("f", strings.NewReader(text), 1<<20, csvfile.Options{})
		switch {
		case err != nil && strings.ContainsFunc(err.Error()+hintOf(err), unicode.IsControl):
			t.Fatalf("control character in %q", err)
		case err == nil && rec.Rows() < 2:
			t.Fatalf("%d rows", rec.Rows())
		}
	})
}
