package main

import (
	"math"
	"slices"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation/winding"
)

// TestFaultTableFromRecordings: one of each row of the tables of single faults, which
// the winding package's tests compute from phasors, found again from recordings of
// motors summed coil by coil; three turns of the shaft, against the star point.
func TestFaultTableFromRecordings(t *testing.T) {
	t.Parallel()
	type row struct {
		kind  winding.Kind
		teeth []int // from 1
	}
	var jobs []func()
	for pair, rows := range map[[2]int][]row{
		{12, 10}: {{winding.CoilReversed, []int{1}}, {winding.CoilReversed, []int{2}}, {winding.CoilMissing, []int{1}}, {winding.CoilMissing, []int{2}},
			{winding.CoilsSwapped, []int{1, 3}}, {winding.CoilsSwapped, []int{1, 4}}, {winding.CoilsSwapped, []int{2, 3}}, {winding.CoilsSwapped, []int{2, 4}},
			{winding.CoilsCrossed, []int{1, 3}}, {winding.CoilsCrossed, []int{1, 10}}, {winding.CoilsCrossed, []int{2, 4}}, {winding.CoilsCrossed, []int{2, 9}}, {winding.PhaseReversed, nil}},
		{9, 8}: {{winding.CoilReversed, []int{1}}, {winding.CoilReversed, []int{2}}, {winding.CoilReversed, []int{3}}, {winding.CoilMissing, []int{1}},
			{winding.CoilMissing, []int{2}}, {winding.CoilMissing, []int{3}}, {winding.CoilsSwapped, []int{1, 4}}, {winding.CoilsSwapped, []int{1, 5}},
			{winding.CoilsSwapped, []int{1, 6}}, {winding.CoilsSwapped, []int{2, 4}}, {winding.CoilsSwapped, []int{2, 5}}, {winding.CoilsSwapped, []int{3, 4}}, {winding.PhaseReversed, nil}},
		{12, 8}: {{winding.CoilReversed, []int{1}}, {winding.CoilMissing, []int{1}}, {winding.CoilsSwapped, []int{1, 2}}, {winding.PhaseReversed, nil}},
	} {
		for i, r := range rows {
			jobs = append(jobs, func() { foundAgain(t, pair, r.kind, r.teeth, uint64(i+1)) })
		}
	}
	each(uint64(len(jobs)), func(seed uint64) { jobs[seed-1]() })
}

// foundAgain records a motor with the fault and looks for it in the answer.
func foundAgain(t *testing.T, pair [2]int, kind winding.Kind, teeth []int, seed uint64) {
	machine, err := winding.New(pair[0], pair[1])
	if err != nil {
		t.Error(err)
		return
	}
	m := drawMotor(seed)
	m.layout = machine.Layout()
	m.against(synth.Neutral)
	same := func(f winding.Fault) bool {
		at := make([]int, len(f.Teeth))
		for i, k := range f.Teeth {
			at[i] = k + 1
		}
		return f.Kind == kind && slices.Equal(at, teeth) && (teeth != nil || f.Phases[0] == 0)
	}
	all := m.layout.Faults()
	at := slices.IndexFunc(all, same)
	if at < 0 {
		t.Errorf("%v has no fault %v %v", pair, kind, teeth)
		return
	}
	m.wind(m.layout.With(all[at]))
	m.config.Motor.PolePairs = pair[1] / 2
	m.config.Spin = synth.FewTurns(3.1 * float64(pair[1]) / 2)
	m.start()
	m.config.Motor.Flux = 250 * m.config.FrontEnd.VoltsPerCount / (2 * math.Pi * 20)
	n, _, err := m.inspect()
	if err != nil || n.Winding == nil {
		t.Errorf("%v, %v: not judged: %v", pair, all[at], err)
		return
	}
	if !n.Winding.Found.Faulty() || !slices.ContainsFunc(n.Winding.Found.Groups[0].Faults, same) {
		t.Errorf("%v, %v: got %v, fit %g", pair, all[at], n.Winding.Found.Groups[0].Faults, n.Winding.Found.Fit)
	}
}
