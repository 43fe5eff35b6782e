package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"slices"

	"handspin/commutation/proof"
)

// state is what is done, and the file that keeps it: a header line, then a line
// for each outcome, only ever added to.
type state struct {
	done map[uint64]proof.Outcome
	file *os.File // nil for none
}

// openState reads the file of the path, or begins it; an empty path keeps
// nothing. A last line without its end is of a run that was killed: it is cut
// off and its motor worked on anew.
func openState(path string) (*state, error) {
	s := &state{done: map[uint64]proof.Outcome{}}
	if path == "" {
		return s, nil
	}
	text, err := os.ReadFile(path)
	if err != nil && !os.IsNotExist(err) {
		return nil, err
	}
	whole := bytes.LastIndexByte(text, '\n') + 1
	if err := s.read(path, text[:whole]); err != nil {
		return nil, err
	}
	s.file, err = os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, err
	}
	if err := s.file.Truncate(int64(whole)); err != nil {
		return nil, err
	}
	if _, err := s.file.Seek(int64(whole), 0); err != nil {
		return nil, err
	}
	if whole == 0 {
		return s, s.write(proof.Columns)
	}
	return s, nil
}

// read takes the lines of text, the header's first.
func (s *state) read(path string, text []byte) error {
	rows := csv.NewReader(bytes.NewReader(text))
	cells, err := rows.ReadAll()
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	for i, row := range cells {
		if i == 0 {
			if !slices.Equal(row, proof.Columns) {
				return fmt.Errorf("%s:1: no state of this program, or of another version of it", path)
			}
			continue
		}
		o, err := proof.ParseRow(row)
		if err != nil {
			return fmt.Errorf("%s:%d: %w", path, i+1, err)
		}
		s.done[o.Seed] = o
	}
	return nil
}

func (s *state) add(o proof.Outcome) error {
	if s.file == nil {
		return nil
	}
	return s.write(o.Row())
}

// write writes a line at once, so that a kill leaves whole lines.
func (s *state) write(cells []string) error {
	var line bytes.Buffer
	w := csv.NewWriter(&line)
	if err := w.Write(cells); err != nil {
		return err
	}
	w.Flush()
	_, err := s.file.Write(line.Bytes())
	return err
}

func (s *state) close() {
	if s.file != nil {
		s.file.Close() // every line is written already
	}
}
