package csvfile

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
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
	open := 0
	for k, role := range t.roles(f) {
		switch role {
		case digital:
			lines = append(lines, k)
		case analogue:
			voltages = append(voltages, k)
		}
	}
	swings, widest := swingsOf(f, voltages)
	for i, s := range swings {
		switch ratio := s.width() / s.spread; {
		case s.width() < shareSwing*widest || len(f[0]) < fewRows:
		case ratio > surelySwitched:
			switched = append(switched, voltages[i])
		case ratio > surelyWaved:
			open++
		}
	}
	if len(lines) == 0 && len(switched) > 0 {
		lines = switched
		voltages = slices.DeleteFunc(voltages, func(k int) bool { return slices.Contains(switched, k) })
		switched = nil
	}
	ok = (len(lines) == 0 || len(lines) == 3) && len(switched) == 0 && open == 0 && len(voltages) <= 3
	return t.inOrder(lines), t.inOrder(voltages), ok
}

// fewRows is how many rows it takes to tell a switched line: few values of
// anything may well be two.
const fewRows = 50

// swingsOf returns the two levels of columns and the widest distance of two.
func swingsOf(f facts, columns []int) (swings []swing, widest float64) {
	for _, k := range columns {
		s := twoLevels(f[k])
		swings = append(swings, s)
		widest = max(widest, orElse(s.width(), 0))
	}
	return swings, widest
}

// lastNumber parts a channel's name from its number.
var lastNumber = regexp.MustCompile(`^(.*?)(\d+)$`)

// inOrder sorts columns whose names differ by a number alone by that number:
// some instruments write D1 before D0.
func (t *table) inOrder(columns []int) []int {
	rank := map[int]int{}
	stem := ""
	for i, k := range columns {
		m := lastNumber.FindStringSubmatch(t.columns[k].name)
		if m == nil || i > 0 && m[1] != stem {
			return columns
		}
		stem = m[1]
		rank[k], _ = strconv.Atoi(m[2])
	}
	slices.SortStableFunc(columns, func(a, b int) int { return cmp.Compare(rank[a], rank[b]) })
	return columns
}
