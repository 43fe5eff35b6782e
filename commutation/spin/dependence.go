package spin

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"handspin/commutation"
)

// slope is the regression of the edges' angles on a function of the speed.
type slope struct {
	edges    int
	bias, sd float64 // at the function's mean, deg; NaN where edges do not tell
	share    float64 // of the scatter explained
	cv       float64 // relative scatter of the speed
}

// point is an edge: by how much it is off its place, what the speed was, each less the
// mean of its group and over that one's scatter, and when it was.
type point struct{ off, x, t float64 }

// dependence regresses on f(w) all edges near their places together. Each place
// and direction has a mean of its own, so that only what varies with the speed
// is left. Edges of the lesser direction are left out. At a steady speed no place moves:
// what is far from its own there is astray.
func (a *analysis) dependence(f func(w float64) float64) slope {
	if s := a.dependenceOf(f, true); !(s.cv < steadyCV) {
		return s
	}
	return a.dependenceOf(f, false)
}

func (a *analysis) dependenceOf(f func(w float64) float64, moves bool) slope {
	var all []point
	var rates []float64
	groups, meanX := 0, 0.0
	for i := range a.data {
		s := a.result.Sensors[i]
		if !s.Placed || s.Agreement < poorAgreement {
			continue
		}
		for _, rising := range []bool{true, false} {
			group, rate := a.edgesNear(i, rising, moves, f)
			if len(group) < 3 {
				continue
			}
			meanX += centrePoints(group) * float64(len(group))
			weighPoints(group)
			all, rates, groups = append(all, group...), append(rates, rate...), groups+1
		}
	}
	if len(all) < leastDrag {
		return slope{edges: len(all), bias: math.NaN(), sd: math.NaN()}
	}
	return regress(all, groups, meanX/float64(len(all)), rates)
}

// slowShare is the share of the usual speed below which an edge does not count: near
// standstill the angle is not known well, and one such edge would outweigh all others.
const slowShare = 0.2

// meanSpeed is that of edges, in degrees per second.
func meanSpeed(edges []edge) float64 {
	sum := 0.0
	for _, e := range edges {
		sum += math.Abs(e.rate)
	}
	return sum / float64(len(edges))
}

// edgesNear returns a sensor's edges of one sort near their place, turning the way of
// most turning, and their rates. Where the place moves with the speed, by any angle, as on a
// drill's way up, each edge is near where the one before was.
func (a *analysis) edgesNear(i int, rising, moves bool, f func(w float64) float64) (group []point, rates []float64) {
	place := a.result.Sensors[i].FallDeg.Value
	if rising {
		place = a.result.Sensors[i].RiseDeg.Value
	}
	moving := follower{deg: place}
	slow := slowShare * meanSpeed(a.data[i].edges)
	for _, e := range a.data[i].edges {
		if math.Abs(e.rate) < slow || e.rising != rising || e.forward != (a.result.TurnsForward >= a.result.TurnsBackward) {
			continue
		}
		off := commutation.Signed(e.deg - place)
		near := math.Abs(off) <= nearDeg
		if moves {
			near = moving.follow(e.deg)
			off = moving.deg - place
		}
		if near {
			group, rates = append(group, point{off, f(e.rate / 360), e.t}), append(rates, math.Abs(e.rate))
		}
	}
	return group, rates
}

// follower follows a place that moves slowly, in degrees without a jump at 360.
type follower struct {
	deg    float64
	strays []float64
}

// enoughStrays is how many edges in a row, near one another, are the place itself.
const enoughStrays = 3

// follow takes the place to an edge, and reports whether it is near enough for that.
func (p *follower) follow(deg float64) bool {
	near := func(x float64) bool { return math.Abs(commutation.Signed(deg-x)) <= nearDeg }
	if !near(p.deg) {
		if n := len(p.strays); n > 0 && !near(p.strays[n-1]) {
			p.strays = nil
		}
		if p.strays = append(p.strays, deg); len(p.strays) < enoughStrays {
			return false
		}
	}
	p.deg += commutation.Signed(deg - p.deg)
	p.strays = nil
	return true
}

// centrePoints takes the means out and returns that of the speed's function.
func centrePoints(group []point) (meanX float64) {
	n, meanOff := float64(len(group)), 0.0
	for _, p := range group {
		meanX, meanOff = meanX+p.x/n, meanOff+p.off/n
	}
	for k := range group {
		group[k].x -= meanX
		group[k].off -= meanOff
	}
	return meanX
}

// weighPoints divides a group by its scatter: a sensor that bounces tells less than
// others do.
func weighPoints(group []point) {
	square := edgeFloor * edgeFloor
	for _, p := range group {
		square += p.off * p.off / float64(len(group))
	}
	for k := range group {
		group[k].off /= math.Sqrt(square)
		group[k].x /= math.Sqrt(square)
	}
}

// regress fits off = k x to points in so many groups; at is the mean of x before it
// was taken out. Edges close in time share errors of the angle, so that the standard
// deviation is the larger of that of independent edges and that of the sums over
// blocks of time (a sandwich estimate).
func regress(all []point, groups int, at float64, rates []float64) slope {
	var xx, xd, dd float64
	first, last := math.Inf(1), math.Inf(-1)
	for _, p := range all {
		xx, xd, dd = xx+p.x*p.x, xd+p.x*p.off, dd+p.off*p.off
		first, last = min(first, p.t), max(last, p.t)
	}
	out := slope{edges: len(all), cv: scatterOf(rates), bias: math.NaN(), sd: math.NaN()}
	if xx == 0 || dd == 0 || last == first {
		return out
	}
	const blocks = 24
	var sums [blocks]float64
	k := xd / xx
	for _, p := range all {
		sums[min(int((p.t-first)/(last-first)*blocks), blocks-1)] += p.x * (p.off - k*p.x)
	}
	clustered := 0.0
	for _, s := range sums {
		clustered += s * s
	}
	left := math.Max(dd-k*xd, 0)
	out.bias, out.share = k*at, 1-left/dd
	out.sd = math.Abs(at) * math.Sqrt(max(left/float64(len(all)-groups-1)*xx, clustered)) / xx
	return out
}

// scatterOf is the standard deviation over the mean.
func scatterOf(x []float64) float64 {
	n, m, squares := float64(len(x)), stat.Mean(x, nil), 0.0
	for _, v := range x {
		squares += v * v
	}
	return math.Sqrt(math.Max(squares/n-m*m, 0)) / m
}
