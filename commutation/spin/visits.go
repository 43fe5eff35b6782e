package spin

import (
	"math"

	"handspin/capture"
	"handspin/commutation/spin/emf"
)

// visit is a stay in one Hall state.
type visit struct {
	start, end float64
	state      capture.Levels
	group      int // visits of one group have no gap between them
}

// visits returns the stays in fully known states, the masked leads left out,
// without those that are much shorter than both neighbours.
func visits(rec *capture.Recording, mask capture.Levels) []visit {
	limit := emf.GapLimit(rec)
	var out []visit
	group, last := 0, math.Inf(-1)
	for i, t := range rec.Time {
		l := rec.Hall[i]
		if l>>4&mask != 0 {
			continue
		}
		if t-last > limit {
			group++
		}
		if rec.Edge[i] {
			t -= rec.HallLag
		}
		l &= mask
		switch n := len(out); {
		case n > 0 && out[n-1].group == group && out[n-1].state == l:
			out[n-1].end = t
		case n > 0 && out[n-1].group == group:
			at := t
			if !rec.Edge[i] {
				at = (last + t) / 2
			}
			out[n-1].end = at
			out = append(out, visit{at, t, l, group})
		default:
			out = append(out, visit{t, t, l, group})
		}
		last = t
	}
	return withoutBounces(withoutBounces(out))
}

// bounceShare is how short a visit is, against both neighbours, to be a bounce.
const bounceShare = 1.0 / 12

// withoutBounces joins a bounce's neighbours where their states are the same,
// and gives the bounce to the later one where they are not.
func withoutBounces(v []visit) []visit {
	var out []visit
	for i := 0; i < len(v); i++ {
		n := len(out)
		short := n > 0 && i+1 < len(v) && v[i].group == v[i+1].group && out[n-1].group == v[i].group &&
			length(v[i]) < bounceShare*min(length(out[n-1]), length(v[i+1]))
		switch {
		case short && out[n-1].state == v[i+1].state:
			out[n-1].end = v[i+1].end
			i++
		case short:
			v[i+1].start = v[i].start
		default:
			out = append(out, v[i])
		}
	}
	return out
}

func length(v visit) float64 { return v.end - v.start }

// cycle returns the states in the order in which they follow one another in
// one turn, found from how often each pair is adjacent; nil where they do not
// form a ring of size states.
func cycle(v []visit, size int) []capture.Levels {
	var next [8][8]int
	for i := 1; i < len(v); i++ {
		if a, b := v[i-1], v[i]; a.group == b.group {
			next[a.state][b.state]++
			next[b.state][a.state]++
		}
	}
	var ring []capture.Levels
	var used [8]bool
	at := busiest(next, used)
	for {
		ring = append(ring, at)
		used[at] = true
		best, most := at, 0
		for s, n := range next[at] {
			if !used[s] && n > most {
				best, most = capture.Levels(s), n
			}
		}
		if most == 0 {
			break
		}
		at = best
	}
	if len(ring) != size || next[ring[size-1]][ring[0]] == 0 {
		return nil
	}
	return ring
}

func busiest(next [8][8]int, used [8]bool) capture.Levels {
	best, most := 0, -1
	for s := range next {
		sum := 0
		for _, n := range next[s] {
			sum += n
		}
		if sum > most && !used[s] {
			best, most = s, sum
		}
	}
	return capture.Levels(best)
}
