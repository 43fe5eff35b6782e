// Package rest reads where a rotor comes to rest under a small direct current:
// a table of the leads that the current goes in and out by, and the levels of the
// Hall leads there.
package rest

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"handspin/capture"
)

// Position is one rest position.
type Position struct {
	// Current is what flows into each phase lead, relative to the whole: it
	// sums to 0, and what goes in to 1.
	Current [3]float64
	// Hall are the levels seen. That of a lead that flickers is not known.
	Hall capture.Levels
	// Line is the row's in the file.
	Line int
}

// Table is what a file holds.
type Table struct {
	Name      string
	Positions []Position
	Leads     capture.Leads
}

const (
	headerHint = "begin with the line high,low,hall"
	rowHint    = "write each row as in p1,p2,101 (current into p1 and out of p2) or p1,p2+p3,10x, with x for a level that flickers"
)

// Is reports whether text begins with the column names of such a table.
func Is(text []byte) bool { return separator(text) != 0 }

// separator returns what separates the columns, a comma, semicolon or tab; 0
// where the first line that says anything does not name the columns. One with h1
// in place of hall is meant for such a table, too, so that [Parse] can say so.
func separator(text []byte) rune {
	for line := range bytes.Lines(bytes.TrimPrefix(text, []byte("\ufeff"))) {
		line = bytes.TrimSpace(line)
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		for _, sep := range ",;\t" {
			names := split(string(line), sep)
			has := func(c string) bool { return slices.Contains(names, c) }
			if has("high") && has("low") && (has("hall") || has("h1")) {
				return sep
			}
		}
		return 0
	}
	return 0
}

func split(line string, sep rune) []string {
	var names []string
	for name := range strings.SplitSeq(line, string(sep)) {
		names = append(names, strings.ToLower(strings.Trim(name, "\" \t")))
	}
	return names
}

// Parse reads a table: the line high,low,hall, then a row for each rest position.
// A line "# leads: p1=NAME,..." names the leads. An error is a
// [*capture.SyntaxError] with the place.
func Parse(name string, text []byte) (*Table, error) {
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	t := &Table{Name: name}
	if err := t.header(text); err != nil {
		return nil, err
	}
	rows := csv.NewReader(bytes.NewReader(text))
	rows.Comment = '#'
	rows.TrimLeadingSpace = true
	if rows.Comma = separator(text); rows.Comma == 0 {
		return nil, fail(name, 1, 1, headerHint, "no line high,low,hall")
	}
	names, err := rows.Read()
	if err == nil && !slices.Contains(split(strings.Join(names, ","), ','), "hall") {
		line, _ := rows.FieldPos(0)
		return nil, fail(name, line, 1, "write the three levels as one word in the column hall, as in 101: "+headerHint, "no column hall")
	}
	for err == nil {
		var cells []string
		if cells, err = rows.Read(); err == nil {
			err = t.row(rows, names, cells)
		}
	}
	if bad, ok := errors.AsType[*csv.ParseError](err); ok {
		return nil, fail(name, bad.Line, bad.Column, rowHint, "%v", bad.Err)
	}
	if err != io.EOF {
		return nil, err
	}
	if len(t.Positions) == 0 {
		return nil, fail(name, 1, 1, rowHint, "there is no row after the column names")
	}
	return t, nil
}

// header reads the names of the leads.
func (t *Table) header(text []byte) error {
	n := 0
	for line := range bytes.Lines(text) {
		n++
		key, names, _ := strings.Cut(strings.TrimSpace(strings.TrimLeft(string(line), "# ")), ":")
		if line[0] != '#' || strings.TrimSpace(key) != "leads" {
			continue
		}
		leads, err := capture.ParseLeads(names)
		if err != nil {
			return fail(t.Name, n, 1, "write it as in # leads: p1=yellow,h1=white", "%v", err)
		}
		t.Leads = leads
	}
	return nil
}

func (t *Table) row(rows *csv.Reader, names, cells []string) error {
	p := Position{}
	p.Line, _ = rows.FieldPos(0)
	for i, name := range names {
		cell := strings.TrimSpace(cells[i])
		var err error
		switch strings.ToLower(strings.TrimSpace(name)) {
		case "high":
			err = p.feed(cell, 1)
		case "low":
			err = p.feed(cell, -1)
		case "hall":
			err = p.levels(cell)
		}
		if err != nil {
			line, column := rows.FieldPos(i)
			return fail(t.Name, line, column, rowHint, "%v", err)
		}
	}
	t.Positions = append(t.Positions, p)
	return nil
}

// feed lets the current in (+1) or out (-1) by one lead, or by two in parallel,
// which take half of it each.
func (p *Position) feed(cell string, current float64) error {
	leads := strings.Split(cell, "+")
	for _, lead := range leads {
		i := slices.Index([]string{"p1", "p2", "p3"}, strings.ToLower(strings.TrimSpace(lead)))
		switch {
		case i < 0:
			return fmt.Errorf("lead %.24q is not one of p1, p2, p3", lead)
		case p.Current[i] != 0:
			return fmt.Errorf("lead p%d twice in a row", i+1)
		}
		p.Current[i] = current / float64(len(leads))
	}
	return nil
}

func (p *Position) levels(cell string) error {
	p.Hall = capture.UnknownLevels
	if len(cell) != 3 || strings.Trim(cell, "01xX") != "" {
		return fmt.Errorf("hall %.24q is not three of 0, 1 and x; spreadsheets drop leading zeros", cell)
	}
	for i, level := range []byte(cell) {
		if level == '0' || level == '1' {
			p.Hall = p.Hall.With(i, level == '1')
		}
	}
	return nil
}

func fail(name string, line, column int, hint, format string, args ...any) error {
	return &capture.SyntaxError{Pos: capture.Position{File: name, Line: line, Column: column}, Msg: fmt.Sprintf(format, args...), Hint: hint}
}
