package main

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"handspin/cmd/handspin/internal/present"
	"handspin/commutation/rotor"
	"handspin/commutation/spin"
	"handspin/commutation/winding"
)

// turnOf is the back-EMF of an inspected motor with so many pole pairs over a turn of its
// shaft, for judging its rotor. The error says what keeps it from that.
func turnOf(n *present.Inspection, pairs int, starPoint bool) (*spin.Shaft, rotor.Turn, error) {
	shaft, err := n.Spin.Shaft(pairs)
	if err != nil {
		return nil, rotor.Turn{}, err
	}
	start := shaft.StartDeg
	if shaft.Indexed() {
		start = shaft.IndexDeg
	}
	return shaft, rotor.Turn{
		PolePairs: shaft.PolePairs, EMF: shaft.EMF, Cov: shaft.Cov, StartDeg: start,
		Floating: !starPoint || shaft.Floating, PlaceScatter: shaft.PlaceScatter(),
		Edges: edgesOf(shaft), Backward: len(n.Spin.PhaseOrder) == 3 && n.Spin.PhaseOrder[1] == 2,
	}, nil
}

// edgesOf are the sensors' edges over the turn, of those that have a place.
func edgesOf(s *spin.Shaft) []rotor.Edges {
	var out []rotor.Edges
	for _, b := range s.Borders {
		if math.IsNaN(b.PlaceDeg) {
			continue
		}
		e := rotor.Edges{FirstDeg: b.PlaceDeg}
		for _, v := range b.OffDeg {
			e.LateDeg, e.SDDeg = append(e.LateDeg, v.Value), append(e.SDDeg, v.SD)
		}
		out = append(out, e)
	}
	return out
}

// rotor is what the recording says about the rotor whatever the winding: how many pole
// pairs it has, and the back-EMF over the turn of the shaft, if that is told.
func (s *stator) rotor(n *present.Inspection) (*present.Rotor, rotor.Turn) {
	r := &present.Rotor{PolePairs: n.Recording.PolePairs}
	if r.PolePairs == 0 {
		r.PolePairs, r.Certain = n.Spin.FindPolePairs()
		r.Found = true
		if r.Certain { // else what counts turns of the shaft would be wrong by a factor
			n.Recording.PolePairs = r.PolePairs
		}
	}
	if r.PolePairs == 0 {
		r.Untested = "the number of pole pairs is not known and nothing repeats that would tell it: give --pole-pairs, or spin it longer"
		return r, rotor.Turn{}
	}
	shaft, turn, err := turnOf(n, r.PolePairs, s.starPoint)
	if err != nil {
		r.Untested = err.Error()
		return r, rotor.Turn{}
	}
	r.Shaft, r.Waves = shaft, turn.HalfWaves()
	switch other, certain := n.Spin.FindPolePairs(); {
	case other == 0 || shaft.PolePairs%other == 0: // a winding that repeats may show a part of them
	case certain:
		r.Other, r.Untold = other, "their number is in doubt"
	case other%shaft.PolePairs != 0:
		r.Perhaps = other
	}
	return r, turn
}

// magnets adds what the turn says about single magnets, with the winding as it should be
// or with the faults that it is likely to have.
func (s *stator) magnets(r *present.Rotor, turn rotor.Turn, layout winding.Layout, found winding.Diagnosis) {
	if r.Shaft == nil || r.Untold != "" {
		return
	}
	if s.delta() {
		turn = turn.AcrossDelta()
	}
	var faulty []winding.Layout
	if found.Faulty() {
		faulty = found.Layouts(layout)
	}
	var err error
	r.Pattern, err = rotor.Find(turn, layout, faulty...)
	r.Blind = !slices.ContainsFunc(append(faulty, layout)[:max(1, len(faulty))], rotor.Shows)
	switch {
	case errors.Is(err, rotor.ErrWhichFault):
		r.Untold = err.Error()
	case err != nil && !errors.Is(err, rotor.ErrBlind):
		r.Untested = err.Error()
	case err == nil && !r.Pattern.Explained():
		r.Untold = "no few bad magnets explain what the leads show over the turn"
	case err == nil && r.Perhaps > 0 && len(r.Pattern.Causes) == 0: // on another turn all magnets look alike
		r.Untold = fmt.Sprintf("what poles differ by seems to repeat every %d pole pairs or a multiple of that, not every %d; count the magnets, and turn the rotor by hand through more turns", r.Perhaps, r.Shaft.PolePairs)
	}
}

// measured is what a winding is judged by: the fundamental over whole turns of the
// shaft, in which an uneven rotor's magnets count alike in all phases, or where there
// is no whole turn, over the recording.
func (s *stator) measured(n *present.Inspection, shaft *spin.Shaft) winding.Measured {
	m := winding.Measured{EMF: n.Spin.EMF, Cov: n.Spin.EMFCov, Floating: !s.starPoint}
	if shaft == nil {
		return m
	}
	order := shaft.PolePairs - 1
	m.EMF, m.Floating = shaft.EMF[order], m.Floating || shaft.Floating
	for i := range m.Cov {
		for j := range m.Cov {
			m.Cov[i][j] = 0
			if i%2 == j%2 {
				m.Cov[i][j] = shaft.Cov[order][i/2][j/2]
			}
		}
	}
	return m
}
