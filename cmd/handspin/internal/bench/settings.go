// Package bench reads the settings file in which a person keeps what they know
// about a motor, its controller and its recordings. It is the only importer of a
// TOML library.
package bench

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"handspin/capture"
	"handspin/capture/csvfile"
)

// Settings are what a settings file says. Paths are as the program can open
// them: relative ones in the file count from the file's folder.
type Settings struct {
	PolePairs int
	Leads     capture.Leads
	// Table is the controller's drive table, a name or a path; empty where the
	// file does not say.
	Table      string
	Recordings []Recording
}

// Recording is one recording of the motor.
type Recording struct {
	Path string
	Read csvfile.Options
}

// file is the form of a settings file.
type file struct {
	Motor struct {
		PolePairs int `toml:"pole_pairs"`
	} `toml:"motor"`
	Leads      map[string]string `toml:"leads"`
	Controller struct {
		Table string `toml:"table"`
	} `toml:"controller"`
	Recording []struct {
		File       string  `toml:"file"`
		Columns    string  `toml:"columns"`
		SampleRate float64 `toml:"sample_rate"`
	} `toml:"recording"`
}

// Is reports whether path names a settings file.
func Is(path string) bool { return strings.EqualFold(filepath.Ext(path), ".toml") }

// Load reads the settings file at path. Errors are *capture.SyntaxError with the
// line and column of what was wrong.
func Load(path string) (*Settings, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		if pathErr := (*os.PathError)(nil); errors.As(err, &pathErr) {
			err = pathErr.Err
		}
		return nil, &capture.SyntaxError{Pos: capture.Position{File: path}, Msg: fmt.Sprintf("the settings file cannot be read: %v", err)}
	}
	return parse(path, text)
}

func parse(path string, text []byte) (*Settings, error) {
	var f file
	d := toml.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&f); err != nil {
		return nil, positioned(path, err)
	}
	s := &Settings{PolePairs: f.Motor.PolePairs, Table: table(path, f.Controller.Table)}
	if f.Motor.PolePairs < 0 {
		return nil, wrong(path, "pole_pairs must not be negative", "")
	}
	var err error
	if s.Leads, err = leads(path, f.Leads); err != nil {
		return nil, err
	}
	for i, r := range f.Recording {
		if r.File == "" {
			return nil, wrong(path, fmt.Sprintf("recording %d names no file", i+1), "give each [[recording]] a line file = \"name.csv\"")
		}
		s.Recordings = append(s.Recordings, Recording{beside(path, r.File), csvfile.Options{Columns: r.Columns, SampleRate: r.SampleRate}})
	}
	if len(s.Recordings) == 0 {
		return nil, wrong(path, "the settings name no recording", "add [[recording]] with a line file = \"name.csv\"")
	}
	return s, nil
}

// leads turns the table into names, through the same rules as the flag.
func leads(path string, names map[string]string) (capture.Leads, error) {
	if len(names) == 0 {
		return capture.Leads{}, nil
	}
	var parts []string
	for _, key := range slices.Sorted(maps.Keys(names)) {
		parts = append(parts, key+"="+names[key])
	}
	l, err := capture.ParseLeads(strings.Join(parts, ","))
	if err != nil {
		return l, wrong(path, "[leads]: "+err.Error(), "")
	}
	return l, nil
}

// table leaves a built-in table's name alone and takes anything else for a path.
func table(path, name string) string {
	if name == "" || !strings.ContainsAny(name, "./\\") {
		return name
	}
	return beside(path, name)
}

// beside returns name as seen from the settings file's folder.
func beside(path, name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(filepath.Dir(path), name)
}

func wrong(path, msg, hint string) error {
	return &capture.SyntaxError{Pos: capture.Position{File: path}, Msg: msg, Hint: hint}
}

const knownKeys = "the keys are [motor] pole_pairs, [leads] p1 to h3, [controller] table, [[recording]] file, columns, sample_rate"

// positioned gives a decoding error its place.
func positioned(path string, err error) error {
	if strict := (*toml.StrictMissingError)(nil); errors.As(err, &strict) && len(strict.Errors) > 0 {
		e := strict.Errors[0]
		line, column := e.Position()
		return &capture.SyntaxError{
			Pos:  capture.Position{File: path, Line: line, Column: column},
			Msg:  "unknown key " + strings.Join(e.Key(), "."),
			Hint: knownKeys,
		}
	}
	if decode := (*toml.DecodeError)(nil); errors.As(err, &decode) {
		line, column := decode.Position()
		return &capture.SyntaxError{
			Pos: capture.Position{File: path, Line: line, Column: column},
			Msg: strings.TrimPrefix(decode.Error(), "toml: "), Hint: knownKeys,
		}
	}
	return wrong(path, err.Error(), knownKeys)
}
