package winding

import (
	"fmt"
	"strings"
	"unicode"
)

// LayoutError is a layout that cannot be understood, or does not suit the machine.
type LayoutError struct {
	// Column counts characters from 1; 0 where the layout as a whole is meant.
	Column int
	// Msg says what was wrong, without the place; Hint what to do about it.
	Msg, Hint string
}

func (e *LayoutError) Error() string {
	if e.Column == 0 {
		return "layout: " + e.Msg
	}
	return fmt.Sprintf("layout:%d: %s", e.Column, e.Msg)
}

const layoutHint = `write one coil per tooth, as in "+A -A -B +B", or as one word with small letters for the other sense, as in "AabB"; 0 is a tooth without coil`

// Parse reads a layout, one coil per tooth: a sign and a letter, as in +A -A, or
// as a letter alone that is small for the sense -1 (common practice); 0 is a
// tooth without coil. Spaces and commas between coils are allowed. An error is a
// [*LayoutError].
func (m Machine) Parse(text string) (Layout, error) {
	l := Layout{Machine: m}
	p := layoutParser{text: []rune(text)}
	for {
		c, ok, err := p.next()
		if err != nil {
			return Layout{}, err
		}
		if !ok {
			break
		}
		l.Coils = append(l.Coils, c)
	}
	if n := len(l.Coils); n != m.slots {
		return Layout{}, &LayoutError{0, fmt.Sprintf("it has %d %s for %d teeth", n, plural(n, "coil", "coils"), m.slots), layoutHint}
	}
	for phase, n := range l.Count() {
		if n == 0 {
			return Layout{}, &LayoutError{0, "phase " + PhaseName(phase) + " has no coil", layoutHint}
		}
	}
	return l, nil
}

type layoutParser struct {
	text []rune
	at   int
	// signed and bare have the column of the first coil written in each of
	// the two ways, 0 where there was none.
	signed, bare int
}

// next returns the next coil; ok is false at the end.
func (p *layoutParser) next() (c Coil, ok bool, err error) {
	for p.at < len(p.text) && (unicode.IsSpace(p.text[p.at]) || p.text[p.at] == ',') {
		p.at++
	}
	if p.at == len(p.text) {
		return Coil{}, false, nil
	}
	column := p.at + 1
	sense, signed := 1, false
	switch p.text[p.at] {
	case '0':
		p.at++
		return Coil{}, true, nil
	case '-', '\u2212': // the second is how books print it
		sense, signed = -1, true
	case '+':
		signed = true
	}
	if signed {
		p.at++
	}
	phase, small, err := p.letter()
	if err != nil {
		return Coil{}, false, err
	}
	if small && !signed {
		sense = -1
	}
	return Coil{phase, sense}, true, p.oneWay(column, signed, small)
}

// letter returns the phase of the next letter.
func (p *layoutParser) letter() (phase int, small bool, err error) {
	if p.at == len(p.text) {
		return 0, false, &LayoutError{p.at, "a sign without a phase", layoutHint}
	}
	r := p.text[p.at]
	p.at++
	phase = strings.IndexRune("ABC", unicode.ToUpper(r))
	if phase < 0 {
		return 0, false, &LayoutError{p.at, fmt.Sprintf("%q is none of the phases A, B, C", r), layoutHint}
	}
	return phase, unicode.IsLower(r), nil
}

// oneWay refuses a layout that mixes the two ways of writing, since a small
// letter then has two meanings.
func (p *layoutParser) oneWay(column int, signed, small bool) error {
	if signed && small {
		return &LayoutError{column, "a sign with a small letter: which of them is the sense?", layoutHint}
	}
	if signed && p.signed == 0 {
		p.signed = column
	}
	if !signed && p.bare == 0 {
		p.bare = column
	}
	if p.signed > 0 && p.bare > 0 {
		return &LayoutError{column, "some coils have a sign and some have not", layoutHint}
	}
	return nil
}
