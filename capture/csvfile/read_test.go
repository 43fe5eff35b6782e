package csvfile

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"handspin/capture"
)

func TestHeader(t *testing.T) {
	text := `# handspin-capture: 1
# board: atmega328p 1.0
# Volts_Per_Count: 0.05
# skew_us: 0,26,-52.5
# hall_lag_us: 4
# leads: p1=yellow,h3=white
# pole_pairs: 23
# just a comment
t_us,p12,p31
0,1,2
# dropped: 3,1
# sets: 3200
5,3,4
# dropped: 4,0
# odd key: a: b
`
	rec, err := Read(strings.NewReader(text), "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	wantHeader := []capture.HeaderLine{{Key: "handspin-capture", Value: "1"}, {Key: "board", Value: "atmega328p 1.0"},
		{Key: "Volts_Per_Count", Value: "0.05"}, {Key: "skew_us", Value: "0,26,-52.5"}, {Key: "hall_lag_us", Value: "4"},
		{Key: "leads", Value: "p1=yellow,h3=white"}, {Key: "pole_pairs", Value: "23"}, {Key: "dropped", Value: "3,1"},
		{Key: "sets", Value: "3200"}, {Key: "dropped", Value: "4,0"}, {Key: "odd key", Value: "a: b"}}
	if !slices.Equal(rec.Header, wantHeader) {
		t.Errorf("header %q", rec.Header)
	}
	wantLeads := capture.Leads{Phase: [3]string{"yellow", "", ""}, Hall: [3]string{"", "", "white"}}
	if rec.Leads != wantLeads || rec.PolePairs != 23 || rec.VoltsPerUnit != 0.05 || rec.HallLag != 4e-6 || rec.LostSets != 7 || rec.LostEdges != 1 {
		t.Errorf("got %+v", rec)
	}
	// The skews belong to the first, second and third lead or pair.
	if a, b := rec.Columns[0], rec.Columns[1]; a.Signal != capture.P12 || a.Skew != 0 || b.Signal != capture.P31 || b.Skew != -52.5e-6 || b.Source != "p31" {
		t.Errorf("columns %+v", rec.Columns)
	}
}

func TestChangedScaleIsNoted(t *testing.T) {
	rec, err := Parse([]byte("# volts_per_count: 1\nt_us,p1\n0,1\n# volts_per_count: 2\n1,1\n"), "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := "volts_per_count changes from 1 to 2 in the file; the last is used for all rows"
	if rec.VoltsPerUnit != 2 || !slices.Equal(rec.Notes, []string{want}) {
		t.Errorf("%g, %q", rec.VoltsPerUnit, rec.Notes)
	}
}

// All damage is counted, the first of it described in the order of the file,
// whichever step found it.
func TestDamageIsCountedAndCut(t *testing.T) {
	var text strings.Builder
	text.WriteString("t_us,hall\n")
	for i := range 200 {
		hall, at := "101", 1000*i
		if i >= 100 && i%2 == 0 {
			hall = "1?1"
		}
		if i == 50 {
			at = 10
		}
		fmt.Fprintf(&text, "%d,%s\n", at, hall)
	}
	rec, err := Parse([]byte(text.String()), "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if rec.BadRows != 51 || rec.Rows() != 149 || len(rec.Damage) != capture.MaxDamage {
		t.Fatalf("%d bad, %d read, %d described", rec.BadRows, rec.Rows(), len(rec.Damage))
	}
	// Row i is on line i+2.
	if rec.Damage[0].Pos.Line != 52 || rec.Damage[1].Pos.Line != 102 || rec.Damage[19].Pos.Line != 138 {
		t.Errorf("damage at lines %d, %d ... %d", rec.Damage[0].Pos.Line, rec.Damage[1].Pos.Line, rec.Damage[19].Pos.Line)
	}
}

func TestParseLeavesItsTextAlone(t *testing.T) {
	text := []byte("t_s;hall;p1\n0,5;101;\"1,5\"\n1;100;\n")
	before := bytes.Clone(text)
	if _, err := Parse(text, "f", Options{}); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(text, before) {
		t.Errorf("changed to %q", text)
	}
}

// The standard library's reader and strconv give the same values.
func TestAgainstEncodingCSV(t *testing.T) {
	text := spinText(3000)
	for n := len(text) - 1; n > 0; n-- { // encoding/csv knows no sums
		if text[n] == '*' {
			text = slices.Delete(text, n, n+3)
		}
	}
	rec, err := Parse(text, "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment = '#'
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	records = records[1:]
	if len(records) != rec.Rows() {
		t.Fatalf("%d rows, want %d", rec.Rows(), len(records))
	}
	for i, cells := range records {
		micros, _ := strconv.ParseFloat(cells[0], 64)
		if want := (micros - 20000) / 1e6; rec.Time[i] != want {
			t.Fatalf("row %d: time %v, want %v", i, rec.Time[i], want)
		}
		if rec.Hall[i].String() != cells[1] || rec.Edge[i] != (cells[2] == "") {
			t.Fatalf("row %d: Hall %s, edge %v; cells %q", i, rec.Hall[i], rec.Edge[i], cells)
		}
		for k, c := range rec.Columns {
			want, err := strconv.ParseFloat(cells[2+k], 64)
			if err != nil {
				want = capture.Missing
			}
			if c.Value[i] != want && !(c.Value[i] != c.Value[i] && want != want) {
				t.Fatalf("row %d: %s is %v, want %v", i, c.Signal, c.Value[i], want)
			}
		}
	}
}

// shapeTexts returns the files of testdata/shapes.
func shapeTexts(t testing.TB) (texts [][]byte) {
	t.Helper()
	paths, err := filepath.Glob("../../testdata/shapes/*.*")
	if err != nil || len(paths) == 0 {
		t.Fatal("no shape file", err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, text)
	}
	return texts
}

func FuzzRead(f *testing.F) {
	for _, s := range shapes {
		f.Add([]byte(s.text), s.opt.Columns, s.opt.SampleRate)
	}
	for _, s := range bad {
		if len(s.text) < 1<<16 {
			f.Add([]byte(s.text), s.opt.Columns, s.opt.SampleRate)
		}
	}
	f.Add(spinText(20), "", 0.0)
	for _, text := range shapeTexts(f) {
		f.Add(text, "", 0.0)
		f.Add(text, "h1=1,p2=2", 100.0)
	}
	f.Fuzz(func(t *testing.T, text []byte, columns string, rate float64) {
		rec, err := Parse(text, "f", Options{Columns: columns, SampleRate: rate})
		if err != nil {
			if strings.ContainsFunc(err.Error()+hintOf(err), unicode.IsControl) {
				t.Fatalf("control character in %q", err)
			}
			return
		}
		checkSound(t, rec)
		var out bytes.Buffer
		if err := Write(&out, rec); err != nil {
			t.Fatal(err)
		}
	})
}

// checkSound checks what every recording promises.
func checkSound(t *testing.T, rec *capture.Recording) {
	t.Helper()
	n := rec.Rows()
	if n < 2 || len(rec.Hall) != n || len(rec.Edge) != n || rec.Time[0] != 0 || !slices.IsSorted(rec.Time) {
		t.Fatalf("unsound: %d rows, %d, %d, from %v", n, len(rec.Hall), len(rec.Edge), rec.Time[0])
	}
	for _, c := range rec.Columns {
		if len(c.Value) != n {
			t.Fatalf("%s has %d values for %d rows", c.Signal, len(c.Value), n)
		}
	}
	for _, v := range rec.Time {
		if v-v != 0 {
			t.Fatalf("time %v", v)
		}
	}
	texts := slices.Clone(rec.Notes)
	for _, d := range rec.Damage {
		texts = append(texts, d.Error())
	}
	for _, s := range texts {
		if strings.ContainsFunc(s, unicode.IsControl) {
			t.Fatalf("control character in %q", s)
		}
	}
	if len(rec.Damage) != min(rec.BadRows, capture.MaxDamage) {
		t.Fatalf("%d bad rows, %d described", rec.BadRows, len(rec.Damage))
	}
}
