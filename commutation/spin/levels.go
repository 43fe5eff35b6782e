package spin

import (
	"math"

	"handspin/capture"
)

// levelRun is a stretch of time in which one Hall lead keeps its level. It
// begins at the edge, or where the recording begins or becomes known.
type levelRun struct {
	start, end        float64 // s
	high              bool
	doubt             float64 // half the time in which the start may lie, s
	leastDeg, mostDeg float64 // extremes of the electrical angle within
}

// runsOf returns the runs of Hall lead i, an empty slice where its level is
// never known. Unknown levels and gaps end a run without an edge.
func runsOf(rec *capture.Recording, lead int, limit float64) [][]levelRun {
	var groups [][]levelRun
	var group []levelRun
	last := math.Inf(-1) // time of the latest known row
	flush := func() {
		if len(group) > 0 {
			group[len(group)-1].end = last
			groups = append(groups, group)
		}
		group = nil
	}
	for i, t := range rec.Time {
		high, known := rec.Hall[i].Level(lead)
		if !known {
			continue
		}
		// Nearly all rows of a long recording only go on as before.
		if i > 0 && rec.Hall[i] == rec.Hall[i-1] && !rec.Edge[i] && t-last <= limit {
			last = t
			continue
		}
		if t-last > limit {
			flush()
		}
		if rec.Edge[i] {
			t -= rec.HallLag
		}
		switch {
		case len(group) == 0:
			group = append(group, levelRun{start: t, high: high})
		case group[len(group)-1].high != high:
			at, doubt := (last+t)/2, (t-last)/2
			if rec.Edge[i] {
				at, doubt = t, 0
			}
			group[len(group)-1].end = at
			group = append(group, levelRun{start: at, high: high, doubt: doubt})
		}
		last = t
	}
	flush()
	return groups
}
