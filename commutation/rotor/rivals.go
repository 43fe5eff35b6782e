package rotor

import (
	"cmp"
	"math"
	"slices"
)

// clearBy is by how much more likely, as a logarithm, a cause must be than another in its
// place to be named alone: twenty to one.
const clearBy = 3.0

// rival is another cause in the place of one, and how likely all is then.
type rival struct {
	Cause
	evidence float64
}

// rivals adds to cause i what else it may be: magnets of which it is the same, and other
// causes.
func (s *search) rivals(i int, cause *Cause) {
	for _, r := range s.inPlaceOf(i) {
		cause.or(r.Cause)
	}
}

// or adds what the cause may be as well: the same of other magnets, or another.
func (c *Cause) or(other Cause) {
	same := func(c Cause) bool { return c.Kind == other.Kind && (c.Size < 0) == (other.Size < 0) }
	if same(*c) {
		c.Magnets = union(c.Magnets, other.Magnets)
	} else if k := slices.IndexFunc(c.Or, same); k >= 0 {
		c.Or[k].Magnets = union(c.Or[k].Magnets, other.Magnets)
	} else {
		other.Or = nil
		c.Or = append(c.Or, other)
	}
}

// union is what is in either of two sets, in order.
func union(a, b []int) []int {
	all := slices.Concat(a, b)
	slices.Sort(all)
	return slices.Compact(all)
}

// told is the cause, and what it may be as well, with other magnets for its own.
func (c Cause) told(magnets func([]int) []int) Cause {
	c.Magnets, c.Or = magnets(c.Magnets), slices.Clone(c.Or)
	for i := range c.Or {
		c.Or[i].Magnets = magnets(c.Or[i].Magnets)
	}
	return c
}

// inPlaceOf returns the causes that are not clearly less likely in the place of cause i,
// the likeliest first.
func (s *search) inPlaceOf(i int) []rival {
	without := newSearch(s.m, s.scatter)
	for k, c := range s.causes {
		if k != i {
			without = without.with(c)
		}
	}
	least := s.evidence() - clearBy
	var out []rival
	for _, a := range s.atoms {
		if _, size := a.gain(without.normal, without.rhs); s.has(a) || !s.m.worth(a, size) {
			continue
		}
		with := without.withAtom(a)
		if with.evidence() < least {
			continue
		}
		mean, cov := with.posterior()
		c := with.cause(with.causes[len(with.causes)-1], mean, cov, s.m.others(mean))
		if s.m.worth(a, c.off()) {
			out = append(out, rival{c, with.evidence()})
		}
	}
	slices.SortStableFunc(out, func(a, b rival) int { return cmp.Compare(b.evidence, a.evidence) })
	return out
}

// worth reports whether a size is one that a magnet can have and worth a word.
func (m *model) worth(a atom, size float64) bool {
	switch a.kind {
	case Shifted:
		return math.Abs(size) > worthPlace && math.Abs(size) < m.mostPlace
	case Eccentric:
		return size > worthCentre
	}
	return size < -worthWeak || size > worthWeak && size < mostStrong
}

// off is the cause's size as an atom has it: 0 for a magnet like the others.
func (c Cause) off() float64 {
	switch c.Kind {
	case Shifted:
		return c.Size / 180
	case Eccentric:
		return c.Size
	}
	return c.Size - 1
}

// shownOfPlace is the share of a magnet's shift by which its two borders are seen late at
// least: they take half of it, and of that the bent angle may hide half.
const shownOfPlace = 0.25

// mostPlace is how far a magnet may be out of its place in pole pitches, by the edges of
// the sensor that allows most; where an edge is not seen or there are none, edges say
// nothing of that.
func (t Turn) mostPlace() float64 {
	if len(t.Edges) == 0 {
		return mostPlace
	}
	most := 0.0
	for _, e := range t.Edges {
		late := e.centred()
		for k, from := range late {
			off := math.Abs(from+late[wrap(k+1, len(late))]) / 2
			if math.IsNaN(off) {
				return mostPlace
			}
			most = max(most, off/180)
		}
	}
	return min(most/shownOfPlace, mostPlace)
}
