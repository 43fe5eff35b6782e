// Package triallog keeps the trials of a motor in a CSV file (RFC 4180): time,
// wiring, outcome, amps, note, and rpm. Trials are only ever added at its end.
package triallog

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"handspin/capture"
	"handspin/commutation/trial"
)

// columns are those of a new log. In one made by hand their order is free, and
// only wiring and outcome are needed. Where there is no column rpm a speed stands
// at the beginning of the note, as in "900 rpm; loud".
var columns = []string{"time", "wiring", "outcome", "amps", "rpm", "note"}

const (
	headerHint = "begin with the line time,wiring,outcome,amps,rpm,note"
	rowHint    = "write each row as in 2024-05-01T12:00:00Z,p1p2p3/h1h2h3,weak-reverse,4.2,,loud"
)

// Read returns the trials in the file at path, none where there is no such file.
// It refuses those of another motor than the one with the line motor, as [Motor]
// writes it. An error is a [*capture.SyntaxError].
func Read(path, motor string) ([]trial.Trial, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fail(path, err)
	}
	if err := of(path, text, motor); err != nil {
		return nil, err
	}
	return Parse(path, text)
}

// Entry is what is added to a log: trials with their time and a note. A new log
// begins with the lines About, as comments, and with Motor, as [Motor] writes it.
type Entry struct {
	Trials []trial.Trial
	At     time.Time
	Note   string
	About  []string
	Motor  string
}

// Add writes e to the end of the file at path, which it makes where there is
// none. What is in the file stays.
func Add(path string, e Entry) error {
	text, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fail(path, err)
	}
	lines, err := addition(path, text, e)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o666)
	if err != nil {
		return fail(path, err)
	}
	_, err = f.Write(lines)
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		return fail(path, err)
	}
	return nil
}

// addition returns what has to follow text for the log to have the trials.
func addition(path string, text []byte, e Entry) ([]byte, error) {
	header := columns
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	p := newParser(path, text)
	switch err := p.header(); {
	case err == io.EOF:
		b.Write(comments(text, e.About))
		b.WriteString(motorKey + e.Motor + "\n")
		out.Write(columns)
	case err != nil:
		return nil, err
	default:
		header = p.names
		if !bytes.HasSuffix(text, []byte("\n")) {
			b.WriteByte('\n')
		}
	}
	for _, t := range e.Trials {
		row, err := arrange(path, header, map[string]string{
			"time": e.At.UTC().Format(time.RFC3339), "wiring": t.Wiring.Short(), "outcome": string(t.Outcome),
			"amps": number(t.Amps), "rpm": number(t.RPM), "note": e.Note,
		})
		if err != nil {
			return nil, err
		}
		out.Write(row)
	}
	out.Flush()
	return b.Bytes(), out.Error()
}

// comments returns what a new log begins with, after text, which has no row.
func comments(text []byte, about []string) []byte {
	var b bytes.Buffer
	if len(text) > 0 && !bytes.HasSuffix(text, []byte("\n")) {
		b.WriteByte('\n')
	}
	for _, line := range about {
		b.WriteString("# " + strings.Join(strings.Fields(line), " ") + "\n")
	}
	return b.Bytes()
}

// arrange puts the cells of a row in the order of the file's columns. Only a time
// may be left out for lack of a column.
func arrange(path string, header []string, cells map[string]string) ([]string, error) {
	if cells["rpm"] != "" && !slices.Contains(header, "rpm") {
		cells["note"] = strings.TrimSuffix(cells["rpm"]+" rpm; "+cells["note"], "; ")
		delete(cells, "rpm")
	}
	var row []string
	for _, name := range header {
		row = append(row, cells[name])
	}
	for _, name := range columns {
		if cells[name] != "" && name != "time" && !slices.Contains(header, name) {
			return nil, &capture.SyntaxError{
				Pos: capture.Position{File: path, Line: 1, Column: 1},
				Msg: "the log has no column " + name + ", so that nothing was added", Hint: "add the column to the file's first line",
			}
		}
	}
	return row, nil
}

// number prints a measured value, nothing where there is none.
func number(x float64) string {
	if x == 0 {
		return ""
	}
	return strconv.FormatFloat(x, 'g', -1, 64)
}

// Parse reads a log. An error is a [*capture.SyntaxError] with the place.
func Parse(name string, text []byte) ([]trial.Trial, error) {
	p := newParser(name, text)
	switch err := p.header(); {
	case err == io.EOF:
		return nil, nil
	case err != nil:
		return nil, err
	}
	var trials []trial.Trial
	for {
		t, err := p.row()
		if err == io.EOF {
			return trials, nil
		}
		if err != nil {
			return nil, err
		}
		trials = append(trials, t)
	}
}

type parser struct {
	name  string
	rows  *csv.Reader
	names []string
}

func newParser(name string, text []byte) *parser {
	rows := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	rows.Comment = '#'
	rows.FieldsPerRecord = -1
	rows.TrimLeadingSpace = true
	return &parser{name: name, rows: rows}
}

// read returns the trimmed cells of the next row.
func (p *parser) read() ([]string, error) {
	cells, err := p.rows.Read()
	if bad, ok := errors.AsType[*csv.ParseError](err); ok {
		return nil, &capture.SyntaxError{Pos: capture.Position{File: p.name, Line: bad.Line, Column: bad.Column}, Msg: bad.Err.Error(), Hint: rowHint}
	}
	for i := range cells {
		cells[i] = strings.TrimSpace(cells[i])
	}
	return cells, err
}

func (p *parser) header() (err error) {
	if p.names, err = p.read(); err != nil {
		return err
	}
	for i, name := range p.names {
		name = strings.ToLower(name)
		p.names[i] = name
		if !slices.Contains(columns, name) {
			return p.fail(i, headerHint, "column %.24q is not one of %s", name, strings.Join(columns, ", "))
		}
		if slices.Contains(p.names[:i], name) {
			return p.fail(i, headerHint, "column %s again", name)
		}
	}
	for _, name := range []string{"wiring", "outcome"} {
		if !slices.Contains(p.names, name) {
			return p.fail(0, headerHint, "no column %s", name)
		}
	}
	return nil
}

func (p *parser) row() (t trial.Trial, err error) {
	cells, err := p.read()
	if err != nil {
		return t, err
	}
	if len(cells) != len(p.names) {
		return t, p.fail(min(len(cells), len(p.names))-1, rowHint, "%d cells under %d column names", len(cells), len(p.names))
	}
	for i, cell := range cells {
		if err := set(&t, p.names[i], cell); err != nil {
			return t, p.fail(i, rowHint, "%v", err)
		}
	}
	if i := slices.Index(p.names, "note"); i >= 0 && !slices.Contains(p.names, "rpm") {
		if number := noted.FindStringSubmatch(cells[i]); number != nil {
			if t.RPM, err = trial.Positive(number[1]); err != nil {
				return t, p.fail(i, rowHint, "%v", err)
			}
		}
	}
	return t, nil
}

// noted is a speed at the beginning of a note.
var noted = regexp.MustCompile(`^([0-9.eE+]+) rpm(;|$)`)

// set reads a cell of the named column.
func set(t *trial.Trial, name, cell string) (err error) {
	switch name {
	case "wiring":
		t.Wiring, err = trial.ParseWiring(cell)
	case "outcome":
		t.Outcome, err = trial.ParseOutcome(cell)
	case "amps":
		t.Amps, err = measured(cell)
	case "rpm":
		t.RPM, err = measured(cell)
	}
	return err
}

// measured reads a value that may be missing.
func measured(cell string) (float64, error) {
	if cell == "" {
		return 0, nil
	}
	return trial.Positive(cell)
}

// fail returns an error at cell i of the row that was read last.
func (p *parser) fail(i int, hint, format string, args ...any) error {
	line, column := p.rows.FieldPos(i)
	return &capture.SyntaxError{Pos: capture.Position{File: p.name, Line: line, Column: column}, Msg: fmt.Sprintf(format, args...), Hint: hint}
}

// fail says that a log cannot be used.
func fail(path string, err error) error {
	if e, ok := errors.AsType[*fs.PathError](err); ok {
		err = e.Err // the path is in the position
	}
	return &capture.SyntaxError{Pos: capture.Position{File: path}, Msg: fmt.Sprintf("the trial log cannot be used: %v", err)}
}
