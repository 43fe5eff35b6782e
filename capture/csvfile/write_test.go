package csvfile

import (
	"bytes"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"handspin/capture"
)

func TestWrite(t *testing.T) {
	rec := &capture.Recording{
		Time: []float64{0, 312e-6, 344e-6, 4294.967300},
		Hall: []capture.Levels{5, 5, 4, capture.UnknownLevels.With(0, true)},
		Edge: []bool{false, false, true, false},
		Columns: []capture.Column{
			{Signal: capture.P1, Value: []float64{514, 1e21, math.NaN(), -0.5}},
			{Signal: capture.P3, Value: []float64{math.NaN(), 0.1, math.NaN(), 7}, Skew: 52e-6},
		},
		HallLag: 4e-6, VoltsPerUnit: 0.0538, PolePairs: 23, LostSets: 7, LostEdges: 1,
		Leads:  capture.Leads{Phase: [3]string{"yellow"}},
		Header: []capture.HeaderLine{{Key: "volts_per_count", Value: "9"}, {Key: "note", Value: "a\nb"}},
	}
	// 4294.9673 s is 4294967300 us, 4 more than 2^32.
	want := `# handspin-capture: 1
# volts_per_count: 0.0538
# skew_us: 0,0,52
# hall_lag_us: 4
# leads: p1=yellow
# pole_pairs: 23
# dropped: 7,1
# note: a b
t_us,hall,p1,p3
0,101,514,nan
312,101,1e+21,0.1
344,100,,
4,1xx,-0.5,7
`
	var out bytes.Buffer
	if err := Write(&out, rec); err != nil || out.String() != want {
		t.Errorf("%v\n%s", err, out.String())
	}
}

func TestWriteErrors(t *testing.T) {
	rec := &capture.Recording{Leads: capture.Leads{Phase: [3]string{"a,b"}}}
	err := Write(new(bytes.Buffer), rec)
	if err == nil || err.Error() != `the lead names "p1=a,b" have no place in the recording format` {
		t.Errorf("got %v", err)
	}
	full := errors.New("disk full")
	if err := Write(failing{full}, &capture.Recording{Header: []capture.HeaderLine{{Value: strings.Repeat("x", 5000)}}}); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

// What is written is read back the same: rows, columns and every header value.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := drawRecording(t)
		var first, second bytes.Buffer
		if err := Write(&first, rec); err != nil {
			t.Fatal(err)
		}
		got, err := Read(bytes.NewReader(first.Bytes()), rec.Name, Options{})
		if err != nil {
			t.Fatalf("%v\n%s", err, first.String())
		}
		compare(t, got, rec)
		if err := Write(&second, got); err != nil || !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Fatalf("written again: %v\n%s\nfirst\n%s", err, second.String(), first.String())
		}
	})
}

// drawRecording draws a recording that the format can hold: times in whole
// microseconds and less than a minute between rows, which is what tells a wrap
// of the counter from a restart.
func drawRecording(t *rapid.T) *capture.Recording {
	rec := &capture.Recording{Name: "f", PolePairs: rapid.IntRange(0, 40).Draw(t, "pole pairs"),
		LostSets: rapid.IntRange(0, 9).Draw(t, "sets"), LostEdges: rapid.IntRange(0, 9).Draw(t, "edges"),
		HallLag:      float64(rapid.IntRange(0, 20).Draw(t, "lag")) / 1e6,
		VoltsPerUnit: rapid.SampledFrom([]float64{0, 1, 0.0538, 1e-7}).Draw(t, "scale")}
	rec.Leads.Phase[1] = rapid.SampledFrom([]string{"", "thick blue", "a=b"}).Draw(t, "lead")
	if rapid.Bool().Draw(t, "header") {
		rec.Header = []capture.HeaderLine{{Key: "note", Value: "x: y"}, {Key: "bench", Value: ""}}
	}
	signals := rapid.SampledFrom([][]capture.Signal{{capture.P1, capture.P2, capture.P3}, {capture.P2}, {capture.P12, capture.P31}}).Draw(t, "signals")
	for _, s := range signals {
		rec.Columns = append(rec.Columns, capture.Column{Signal: s, Source: s.String(), Skew: float64(rapid.IntRange(-60, 60).Draw(t, "skew")) / 1e6})
	}
	micros := 0
	for range rapid.IntRange(2, 30).Draw(t, "rows") {
		rec.Time = append(rec.Time, float64(micros)/1e6)
		micros += rapid.IntRange(1, 50_000_000).Draw(t, "step")
		drawRow(t, rec)
	}
	return rec
}

func drawRow(t *rapid.T, rec *capture.Recording) {
	levels := rapid.SampledFrom([]capture.Levels{0, 1, 5, 7, capture.UnknownLevels.With(1, true)}).Draw(t, "levels")
	edge := rapid.Bool().Draw(t, "edge")
	if !edge && rapid.Bool().Draw(t, "unknown") {
		levels = capture.UnknownLevels
	}
	rec.Hall, rec.Edge = append(rec.Hall, levels), append(rec.Edge, edge)
	value := rapid.OneOf(rapid.Just(math.NaN()), rapid.Float64Range(-sentinel/2, sentinel/2), rapid.Map(rapid.IntRange(0, 1023), func(n int) float64 { return float64(n) }))
	for i := range rec.Columns {
		v := capture.Missing
		if !edge {
			v = value.Draw(t, "value")
		}
		rec.Columns[i].Value = append(rec.Columns[i].Value, v)
	}
}

func compare(t *rapid.T, got, want *capture.Recording) {
	others := slices.DeleteFunc(slices.Clone(got.Header), func(h capture.HeaderLine) bool { return written[h.Key] })
	switch {
	case !slices.Equal(got.Time, want.Time):
		t.Fatalf("times %v, want %v", got.Time, want.Time)
	case !slices.Equal(got.Hall, want.Hall) || !slices.Equal(got.Edge, want.Edge):
		t.Fatalf("levels %v %v, want %v %v", got.Hall, got.Edge, want.Hall, want.Edge)
	case !slices.Equal(others, want.Header):
		t.Fatalf("header %q, want %q", others, want.Header)
	case len(got.Columns) != len(want.Columns) || got.BadRows != 0:
		t.Fatalf("%d columns, %d bad rows", len(got.Columns), got.BadRows)
	case got.HallLag != want.HallLag || got.VoltsPerUnit != want.VoltsPerUnit || got.PolePairs != want.PolePairs ||
		got.Leads != want.Leads || got.LostSets != want.LostSets || got.LostEdges != want.LostEdges || got.Name != want.Name:
		t.Fatalf("got %+v, want %+v", got, want)
	}
	for i, c := range got.Columns {
		w := want.Columns[i]
		if c.Signal != w.Signal || c.Source != w.Source || c.Skew != w.Skew || !slices.EqualFunc(c.Value, w.Value, sameValue) {
			t.Fatalf("column %+v, want %+v", c, w)
		}
	}
}

func sameValue(a, b float64) bool { return sameBits(a, b) || a != a && b != b }
