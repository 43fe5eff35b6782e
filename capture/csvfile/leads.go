package csvfile

import (
	"cmp"
	"regexp"
	"slices"
	"strings"
)

// Ratios of the distance of two levels to the spread within them, from which on
// a voltage is one that has two levels, and up to which it is none. A sine has
// 4.1, a 120-degree trapezoid 5.8, a sine cut off at a third of its height 7.6,
// at a tenth 14. A switched line whose edges take a share p of the time has
// 2 sqrt(3/p): 20 for 3 %.
const (
	surelySwitched = 20
	surelyWaved    = 8
)

// leads tells the columns of Hall levels from those of phases, each in their
// order, false where that is open.
func (t *table) leads(f facts) (lines, phases []int, ok bool) {
	var voltages, switched []int
	for k, role := range t.roles(f) {
		switch role {
		case digital:
			lines = append(lines, k)
		case analogue:
			voltages = append(voltages, k)
		}
	}
	if changing := t.changing(f, lines); len(lines) > 3 && len(changing) == 3 {
		lines = changing
	}
	swings, widest := t.swingsOf(f, voltages)
	open := 0
	for i, s := range swings {
		if s.width() < shareSwing*widest || len(f[0]) < fewRows {
			continue
		}
		switch is, unsure := s.switched(t.inVolts(f, voltages[i])); {
		case is:
			switched = append(switched, voltages[i])
		case unsure:
			open++
		}
	}
	if len(lines) == 0 && len(switched) == 2 && len(voltages) == 6 {
		switched = append(switched, t.flat(f, voltages, widest)...)
		slices.Sort(switched)
	}
	if len(lines) == 0 && len(switched) > 0 {
		lines, voltages = switched, without(voltages, switched)
		switched = nil
	}
	if len(voltages) == 4 {
		voltages = without(voltages, t.flat(f, voltages, widest))
	}
	ok = (len(lines) == 0 || len(lines) == 3) && len(switched) == 0 && open == 0 && len(voltages) <= 3
	return t.inOrder(lines), t.inOrder(voltages), ok
}

// changing returns the columns of levels that change: a logic analyser may save
// inputs to which nothing is connected.
func (t *table) changing(f facts, lines []int) (out []int) {
	for _, k := range lines {
		if bounds(t.columns[k].over(f[k])).width() > 0 {
			out = append(out, k)
		}
	}
	return out
}

func without(columns, some []int) []int {
	return slices.DeleteFunc(columns, func(k int) bool { return slices.Contains(some, k) })
}

// shareFlat is the range of a line that does not change, as a share of the widest
// distance of two levels: noise and a converter's last digits.
const shareFlat = 0.02

// flat returns the one column that does not change: where of six two others are
// switched and three have something else it is the third Hall line, stuck, and
// beside three of phases it is a supply.
func (t *table) flat(f facts, columns []int, widest float64) (still []int) {
	for _, k := range columns {
		if s := bounds(t.inVolts(f, k)); s.width() < shareFlat*widest {
			still = append(still, k)
		}
	}
	if len(still) != 1 {
		return nil
	}
	return still
}

// fewRows is how many rows it takes to tell a switched line: few values of
// anything may well be two.
const fewRows = 50

// swingsOf returns the two levels of columns and the widest distance of two.
func (t *table) swingsOf(f facts, columns []int) (swings []swing, widest float64) {
	for _, k := range columns {
		s := twoLevels(t.inVolts(f, k))
		swings = append(swings, s)
		widest = max(widest, orElse(s.width(), 0))
	}
	return swings, widest
}

// inVolts returns what tells whether column k is switched: its values over the
// whole file, in volts where the unit is known, since columns of V may stand beside
// columns of mV.
func (t *table) inVolts(f facts, k int) []float64 {
	values := t.columns[k].over(f[k])
	u, _ := findUnit(t.columns[k].unit)
	if u.size == 0 || u == volt {
		return values
	}
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = v * u.size
	}
	return out
}

// lastNumber parts a channel's name from its number, which may be in brackets, and
// lastLetter a lead's from its letter.
var (
	lastNumber = regexp.MustCompile(`^(.*?)\[?(\d+)\]?$`)
	lastLetter = regexp.MustCompile(`^(.*?)([a-cu-w])$`)
)

// inOrder sorts columns whose names differ by a number alone by that number:
// some instruments write D1 before D0.
func (t *table) inOrder(columns []int) []int {
	var names []string
	for _, k := range columns {
		names = append(names, t.columns[k].name)
	}
	order, ok := ByEnds(names)
	if !ok {
		return columns
	}
	sorted := make([]int, len(columns))
	for i, k := range order {
		sorted[i] = columns[k]
	}
	return sorted
}

// ByEnds returns the indices of channels' names in the order of the numbers or
// the letters of leads at their ends, false where they differ by more than that.
func ByEnds(names []string) (order []int, ok bool) {
	for _, pattern := range []*regexp.Regexp{lastNumber, lastLetter} {
		if order, ok = byEnd(names, pattern); ok {
			return order, true
		}
	}
	return nil, false
}

func byEnd(names []string, pattern *regexp.Regexp) (order []int, ok bool) {
	ends := make([]string, len(names))
	stem := ""
	for i, name := range names {
		m := pattern.FindStringSubmatch(lower(name))
		if m == nil || i > 0 && m[1] != stem {
			return nil, false
		}
		stem, ends[i] = m[1], strings.TrimLeft(m[2], "0")
		order = append(order, i)
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(len(ends[a]), len(ends[b])), cmp.Compare(ends[a], ends[b]))
	})
	return order, true
}
