package capture

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func channel(name string, signal Signal, hall Levels) *Recording {
	return &Recording{
		Name: name, Time: []float64{0, 1, 2}, Edge: make([]bool, 3), VoltsPerUnit: 1,
		Hall:    []Levels{hall, hall, hall},
		Columns: []Column{{Signal: signal, Value: []float64{1, 2, 3}}},
	}
}

func TestMerge(t *testing.T) {
	h1 := UnknownLevels.With(0, true)
	joined, err := Merge([]*Recording{channel("a", P1, h1), channel("b", P1, UnknownLevels), channel("c", P1, UnknownLevels)})
	if err != nil {
		t.Fatal("three channels of one instrument were not joined:", err)
	}
	var signals []Signal
	for _, c := range joined.Columns {
		signals = append(signals, c.Signal)
	}
	if !slices.Equal(signals, []Signal{P1, P2, P3}) || joined.Name != "a, b, c" || joined.Hall[2].String() != "1xx" {
		t.Errorf("joined %v %q %v", signals, joined.Name, joined.Hall)
	}
	if len(joined.Notes) != 1 {
		t.Errorf("notes %q, want one that says what was assumed", joined.Notes)
	}
}

// ramp is a channel of n rows 1 ms apart, whose value is the row's number from 1.
func ramp(name string, signal Signal, start float64, n int) *Recording {
	rec := &Recording{Name: name, Start: start, VoltsPerUnit: 1, Edge: make([]bool, n), Hall: make([]Levels, n)}
	c := Column{Signal: signal, Source: "CH1"}
	for i := range n {
		rec.Time = append(rec.Time, 0.001*float64(i))
		rec.Hall[i] = UnknownLevels
		c.Value = append(c.Value, float64(i+1))
	}
	rec.Columns = []Column{c}
	return rec
}

// A file of Hall levels and one for each phase: of these one has a row fewer, one is
// sampled a fifth of an interval later, and one has rounded times.
func TestMergeTolerates(t *testing.T) {
	halls := ramp("h", P1, 0, 400)
	halls.Columns = nil
	for i := range halls.Hall {
		halls.Hall[i] = Levels(0).With(i%3, true)
	}
	short, late, rounded := ramp("a", P1, 0, 399), ramp("b", P1, 0.0002, 400), ramp("c", P1, 0, 400)
	for i, v := range rounded.Time {
		rounded.Time[i] = math.Round(v/0.0003) * 0.0003
	}
	joined, err := Merge([]*Recording{halls, short, late, rounded})
	if err != nil {
		t.Fatal(err)
	}
	if len(joined.Columns) != 3 || joined.Rows() != 400 || joined.Hall[399] != halls.Hall[399] {
		t.Fatalf("%d columns, %d rows", len(joined.Columns), joined.Rows())
	}
	for k, c := range joined.Columns {
		if c.Signal != P1+Signal(k) || c.Value[398] != 399 {
			t.Errorf("column %d is %s, row 398 %g", k, c.Signal, c.Value[398])
		}
	}
	if !math.IsNaN(joined.Columns[0].Value[399]) {
		t.Errorf("the row that a lacks is %g", joined.Columns[0].Value[399])
	}
	// The sum of 400 times has rounding errors near 1e-16 of it.
	if d := joined.Columns[1].Skew; math.Abs(d-0.0002) > 1e-12 || joined.Columns[0].Skew != 0 {
		t.Errorf("skews %g and %g, want 0 and 0.0002", joined.Columns[0].Skew, d)
	}
}

func TestMergeRefuses(t *testing.T) {
	h1 := UnknownLevels.With(0, true)
	events := ramp("b", P2, 0, 400)
	events.Edge[7] = true
	slow := ramp("b", P2, 0, 400)
	for i := range slow.Time {
		slow.Time[i] *= 1.1
	}
	for want, recs := range map[string][]*Recording{
		"their rows are not equally far apart: 1000 us in a, 1100 us in b":     {ramp("a", P1, 0, 400), slow},
		"they are not of the same time: a from 0 to 0.399 s, b from 0 to 0.2":  {ramp("a", P1, 0, 400), ramp("b", P2, 0, 201)},
		"they are not of the same time: a from 0 to 0.399 s, b from 5 to 5.39": {ramp("a", P1, 0, 400), ramp("b", P2, 5, 400)},
		"the rows of b are changes of levels and not samples":                  {ramp("a", P1, 0, 400), events},
		"h1 is in more than one of them":                                       {channel("a", P1, h1), channel("b", P2, h1)},
		"p2 is in more than one of them":                                       {channel("a", P2, h1), channel("b", P2, UnknownLevels)},
		"p2 and p12 mix leads with differences of leads":                       {channel("a", P2, h1), channel("b", P12, UnknownLevels)},
		"there is only one recording":                                          {channel("a", P1, h1)},
	} {
		if _, err := Merge(recs); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
}

func TestTogether(t *testing.T) {
	a, b := channel("a", P1, UnknownLevels), channel("b", P2, UnknownLevels)
	b.BadRows, b.Leads.Phase[1] = 2, "blue"
	all := Together([]*Recording{a, b})
	if all.Name != "a, b" || all.Rows() != 6 || all.Seconds() != 4 || all.BadRows != 2 || all.Leads.Phase[1] != "blue" {
		t.Errorf("together %+v", all)
	}
}
