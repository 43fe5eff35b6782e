package csvfile

import (
	"regexp"
	"slices"
	"strings"
)

// terminals are the letters and numbers by which phase leads go, each set in its
// order: U V W is IEC 60034-8.
var terminals = []string{"uvw", "abc", "rst", "123"}

// What may stand before a lead's letter: "Phase U", "V_a".
const beforeLetter = `(?:(?:phase|fase|line|motor|back-emf|bemf|emf|volt|ch|v|u|e|l|p)[ _.-]*)?`

var (
	// letterName is the name of a column with one lead's voltage.
	letterName = regexp.MustCompile(`^` + beforeLetter + `([uvwabcrst])$`)
	// indexedName is one such as Vu, which in small letters could be a difference.
	indexedName = regexp.MustCompile(`^[VU][a-z]$`)
	// differenceName is that of one with the voltage from a lead to another, as in
	// "U-V", "p1-p2", "Vab" and "V12".
	differenceName = regexp.MustCompile(`^(?:` +
		beforeLetter + `([uvwabcrst])(?:[ _]*(?:-|–|to)[ _]*` + beforeLetter + `)?([uvwabcrst])|` +
		beforeLetter + `([123])[ _]*(?:-|–|to)[ _]*` + beforeLetter + `([123])|` +
		`[vue][ _]?([123])([123]))$`)
)

// phaseColumns returns columns of voltages as those of leads: which, their names
// say, as do differences of leads, or else their order. It is false where the names
// have two readings.
func (t *table) phaseColumns(phases []int) (used []column, ok bool) {
	differences, letters := t.byLetters(phases, differenceOf), t.byLetters(phases, letterOf)
	switch {
	case differences != nil && letters != nil:
		return t.eitherReading(differences, letters)
	case differences != nil:
		return differences, true
	case letters != nil:
		return letters, true
	}
	for i, k := range phases {
		used = append(used, t.column(k, fieldP1+field(i)))
	}
	return used, true
}

// eitherReading decides between the two readings of names such as Vu and UV, the
// voltage of lead U or that from one lead to another: a dash says a difference, a
// capital before a small letter a quantity with its lead as index. Other letters are
// differences where all go round in the order of the leads, as UV, VW and WU do.
func (t *table) eitherReading(differences, letters []column) (used []column, ok bool) {
	all := func(is func(c column) bool) bool {
		return !slices.ContainsFunc(differences, func(c column) bool { return !is(c) })
	}
	switch {
	case all(func(c column) bool { return indexedName.MatchString(c.name) }):
		return letters, true
	case all(func(c column) bool { return len(c.name) > 2 || !c.reversed }):
		return differences, true
	}
	return nil, false
}

// byLetters returns the columns as fieldOf reads their names, nil where it does not
// read each as another field, all by one set of terminals.
func (t *table) byLetters(phases []int, fieldOf func(name string) (f field, reversed bool, set int)) (used []column) {
	first := -1
	for _, k := range phases {
		f, reversed, set := fieldOf(lower(t.columns[k].name))
		twice := slices.ContainsFunc(used, func(c column) bool { return c.field == f })
		if f == unused || twice || first >= 0 && set != first {
			return nil
		}
		first = set
		c := t.column(k, f)
		c.reversed = reversed
		used = append(used, c)
	}
	return used
}

// letterOf returns which lead's voltage a name in lower case says.
func letterOf(name string) (f field, reversed bool, set int) {
	m := letterName.FindStringSubmatch(name)
	if m == nil {
		return unused, false, 0
	}
	set, i := terminal(m[1])
	return fieldP1 + field(i), false, set
}

// differenceOf returns which difference of leads a name in lower case says, and
// whether it is that from the second lead to the first.
func differenceOf(name string) (f field, reversed bool, set int) {
	m := differenceName.FindStringSubmatch(name)
	if m == nil {
		return unused, false, 0
	}
	ends := strings.Join(m[1:], "")
	set, from := terminal(ends[:1])
	other, to := terminal(ends[1:])
	switch {
	case set != other || from == to:
		return unused, false, 0
	case to == (from+1)%3:
		return fieldP12 + field(from), false, set
	}
	return fieldP12 + field(to), true, set
}

// terminal returns in which set a letter is, and where.
func terminal(letter string) (set, i int) {
	for set, letters := range terminals {
		if i := strings.Index(letters, letter); i >= 0 {
			return set, i
		}
	}
	return -1, 0
}
