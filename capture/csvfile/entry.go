package csvfile

import (
	"fmt"
	"strconv"
	"strings"

	"handspin/capture"
)

// mapped is one entry of Options.Columns.
type mapped struct {
	field field
	// name is empty where number (from 1) says which column.
	name   string
	number int
	unit   unit
	// word and bit, from 1, say which bit of a word is meant where no column has
	// the name.
	word string
	bit  int
}

func parseMapping(columns string) ([]mapped, error) {
	var entries []mapped
	for text := range strings.SplitSeq(columns, ",") {
		e, err := parseEntry(text)
		if err != nil {
			return nil, err
		}
		entries = append(entries, e)
		for _, before := range entries[:len(entries)-1] {
			if e.field == before.field {
				return nil, fmt.Errorf("%s is given twice", e.field)
			}
			if what := conflict(column{field: before.field, name: before.field.String()}, column{field: e.field, name: e.field.String()}); what != "" {
				return nil, fmt.Errorf("%s", what)
			}
		}
	}
	for _, e := range entries {
		if e.field.isHall() || e.field.isPhase() {
			return entries, nil
		}
	}
	return nil, fmt.Errorf("neither a Hall nor a phase column is named")
}

func parseEntry(text string) (e mapped, err error) {
	key, name, ok := strings.Cut(text, "=")
	key = lower(strings.TrimSpace(key))
	if !ok {
		return e, fmt.Errorf("%s is not of the form KEY=NAME or KEY=NAME:unit", capture.Quote(text))
	}
	if e.field = fieldKeys[key]; e.field == unused {
		return e, fmt.Errorf("%s is not one of %s", capture.Quote(key), keyList)
	}
	if colon := strings.LastIndexByte(name, ':'); colon >= 0 {
		u, ok := findUnit(strings.TrimSpace(name[colon+1:]))
		if base, isBase := bases[lower(strings.TrimSpace(name[colon+1:]))]; isBase {
			u, ok = unit{name: "digits", base: base}, true
		}
		if isWord := u.base != 0 && e.field == fieldHall; isWord {
			e.field = fieldCode // its levels are the bits of a number
		}
		if !ok || !e.field.fits(u) {
			return e, fmt.Errorf("the unit %s of %s is not one of %s", capture.Quote(name[colon+1:]), key, e.field.unitList())
		}
		e.unit, name = u, name[:colon]
	}
	e.name = strings.TrimSpace(name)
	if m := wordBit.FindStringSubmatch(e.name); m != nil && e.field.isLine() {
		e.word = m[1]
		e.bit, _ = strconv.Atoi(m[2])
		e.bit++
	}
	if n, err := strconv.Atoi(e.name); err == nil {
		if n < 1 {
			return e, fmt.Errorf("column numbers count from 1, %s has %d", key, n)
		}
		e.name, e.number = "", n
	}
	if e.name == "" && e.number == 0 {
		return e, fmt.Errorf("%s names no column", key)
	}
	return e, nil
}

// unitOr returns the entry's unit, or else the one in the column's name.
func (e mapped) unitOr(name string) unit {
	if e.unit != (unit{}) {
		return e.unit
	}
	_, unitName := splitUnit(name)
	u, _ := findUnit(unitName)
	if !e.field.fits(u) {
		return unit{}
	}
	return u
}
