package capture

import (
	"slices"
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
	joined, ok := Merge([]*Recording{channel("a", P1, h1), channel("b", P1, UnknownLevels), channel("c", P1, UnknownLevels)})
	if !ok {
		t.Fatal("three channels of one instrument were not joined")
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

func TestMergeRefuses(t *testing.T) {
	h1 := UnknownLevels.With(0, true)
	later := channel("b", P2, UnknownLevels)
	later.Time = []float64{0, 1, 2.3}
	short := channel("b", P2, UnknownLevels)
	short.Time = short.Time[:2]
	for name, recs := range map[string][]*Recording{
		"another clock":     {channel("a", P1, h1), later},
		"another length":    {channel("a", P1, h1), short},
		"one Hall lead":     {channel("a", P1, h1), channel("b", P2, h1)},
		"one phase":         {channel("a", P2, h1), channel("b", P2, UnknownLevels)},
		"leads, difference": {channel("a", P2, h1), channel("b", P12, UnknownLevels)},
		"one recording":     {channel("a", P1, h1)},
	} {
		if _, ok := Merge(recs); ok {
			t.Errorf("%s: joined", name)
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
