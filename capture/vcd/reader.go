package vcd

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"handspin/capture"
	"handspin/capture/csvfile"
)

// reader reads one dump.
type reader struct {
	tokens
	declarations declarations
	chosen       choice
	rec          *capture.Recording
	// levels are those at time now, in seconds from the first time; first is the
	// first time in the dump's unit, NaN before there is one.
	levels     capture.Levels
	first, now float64
	// unknown counts the changes of Hall levels to no level.
	unknown int
	// ups counts for each net how often it went high after it was low; nil where
	// nobody asks.
	ups map[string]int
	low map[string]bool
}

// lookedAt is how many bytes tell a dump from other text.
const lookedAt = 4096

// Is reports whether a text begins with a declaration of a value change dump.
func Is(text []byte) bool {
	text = bytes.TrimLeft(csvfile.UTF8(text[:min(len(text), lookedAt)]), " \t\r\n\f\v")
	word, _, _ := bytes.Cut(text[:min(len(text), 20)], []byte(" "))
	for keyword := range declaring {
		if bytes.HasPrefix(word, []byte(keyword)) {
			return true
		}
	}
	return false
}

// Parse reads the Hall levels of a dump; name is the file's name for messages.
// Options.Columns has entries such as h1=NAME, or hall=NAME for a vector of three
// bits with h1 as its most significant one; a sample rate has no place here.
// Every row of the recording is a Hall edge, but for the first, which has the
// levels at the first time, and the last, which has those at the last time.
// Errors are [*capture.SyntaxError] or [*csvfile.OptionError].
func Parse(text []byte, name string, opt csvfile.Options) (*capture.Recording, error) {
	r := &reader{
		tokens: tokens{name: name, text: csvfile.UTF8(text)},
		rec:    &capture.Recording{Name: name},
		levels: capture.UnknownLevels,
		first:  math.NaN(),
	}
	r.declarations.ids = map[string]bool{}
	if opt.SampleRate != 0 {
		return nil, &csvfile.OptionError{Flag: "--sample-rate", Msg: "a value change dump has its own times", Hint: "leave the flag out"}
	}
	if err := r.readDeclarations(); err != nil {
		return nil, err
	}
	if err := r.choose(opt.Columns); err != nil {
		return nil, err
	}
	if err := r.readValues(); err != nil {
		return nil, err
	}
	return r.finish()
}

// readDeclarations reads up to the first token that can be no declaration: some
// writers put one behind $enddefinitions.
func (r *reader) readDeclarations() error {
	for {
		before := r.at
		t, ok, err := r.next()
		if err != nil {
			return err
		}
		if !ok || !declaring[t.text] {
			r.at = before
			break
		}
		if err := r.declaration(t); err != nil {
			return err
		}
	}
	if r.declarations.perSecond == 0 {
		return r.fail(0, scaleHint, "the file does not say in what unit its times are ($timescale)")
	}
	return nil
}

func (r *reader) readValues() error {
	for {
		t, ok, err := r.next()
		if !ok || err != nil {
			return err
		}
		switch c := t.text[0]; {
		case c == '#':
			err = r.setTime(t)
		case grouping[t.text]:
		case t.text == "$timescale":
			err = r.declaration(t)
		case declaring[t.text], t.text == closing:
			_, err = r.body(t) // a comment
		case strings.IndexByte("bBrRsS", c) >= 0:
			err = r.vector(t)
		default:
			err = r.scalar(t)
		}
		if err != nil && r.at == len(r.text) && !blank(r.text[r.at-1]) {
			r.note("the file is cut off in the middle of %s, which is left out", capture.Quote(string(r.text[t.at:])))
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// setTime goes on to another time. What was before the first belongs to it.
func (r *reader) setTime(t token) error {
	v, err := strconv.ParseFloat(t.text[1:], 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return r.fail(t.at, "", "this is not a time: %s", capture.Quote(t.text))
	}
	if math.IsNaN(r.first) {
		r.first = v
	}
	now := (v - r.first) / r.declarations.perSecond
	if now < r.now {
		return r.fail(t.at, "", "time runs backward: %s", capture.Quote(t.text))
	}
	if now > r.now {
		r.keep()
	}
	r.now = now
	return nil
}

// keep adds the levels of the time that ends as a row, unless they are those of
// the row before.
func (r *reader) keep() {
	n := len(r.rec.Hall)
	if n == 0 || r.rec.Hall[n-1] != r.levels {
		r.row()
	}
}

func (r *reader) row() {
	rec := r.rec
	rec.Time = append(rec.Time, r.now)
	rec.Hall = append(rec.Hall, r.levels)
	rec.Edge = append(rec.Edge, true)
}

// scalar reads the value of one bit. A letter that the standard does not have is
// one of other languages, for a level that is not known. Some writers put a blank
// before the identifier.
func (r *reader) scalar(t token) error {
	if len(t.text) == 1 {
		return r.vector(token{t.at, "b" + t.text})
	}
	return r.set(t.at, t.text[1:], t.text[:1])
}

// vector reads the identifier that follows a vector, a real number or a text.
func (r *reader) vector(t token) error {
	id, ok, err := r.next()
	if err != nil {
		return err
	}
	if !ok {
		return r.fail(t.at, "", "the text ends after a value, before it says whose it is")
	}
	if c := t.text[0]; c == 'b' || c == 'B' {
		return r.set(t.at, id.text, t.text[1:])
	}
	return r.set(t.at, id.text, "")
}

// set gives a net its value, the most significant bit first. Bits that are left
// out are 0 before a 0 or 1, and otherwise as the first that is there (IEEE
// 1364-2005, section 18.2.1, table 18-1; from memory).
func (r *reader) set(at int, id, value string) error {
	if !r.declarations.ids[id] {
		return r.fail(at, "look whether the file is damaged here", "no signal has the identifier %s", capture.Quote(id))
	}
	r.count(id, value)
	for bit, lead := range r.chosen.bits[id] {
		c := byte('x')
		switch i := len(value) - 1 - bit; {
		case i >= 0:
			c = value[i]
		case value != "" && (value[0] == '0' || value[0] == '1'):
			c = '0'
		}
		if c == '0' || c == '1' {
			r.levels = r.levels.With(lead, c == '1')
		} else {
			r.levels |= capture.UnknownLevels & (0x40 >> lead)
			r.levels &^= 4 >> lead
			r.unknown++
		}
	}
	return nil
}

// finish ends the recording at its last time.
func (r *reader) finish() (*capture.Recording, error) {
	r.keep()
	rec := r.rec
	if n := len(rec.Time); rec.Time[n-1] < r.now {
		r.row()
	}
	switch {
	case math.IsNaN(r.first):
		return nil, r.fail(len(r.text), "", "there is no time in the file")
	case rec.Time[len(rec.Time)-1] == 0:
		return nil, r.fail(len(r.text), "record longer", "there is only one time in the file")
	}
	if r.unknown > 0 {
		r.note("values that are neither 0 nor 1 among the Hall signals: %d; they are levels that are not known", r.unknown)
	}
	return rec, nil
}

func (r *reader) note(format string, args ...any) {
	r.rec.Notes = append(r.rec.Notes, fmt.Sprintf(format, args...))
}
