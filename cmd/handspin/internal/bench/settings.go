// Package bench reads the settings file in which a person keeps what they know
// about a motor, its controller and its recordings. It is the only importer of a
// TOML library.
package bench

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"handspin/capture"
	"handspin/capture/csvfile"
	"handspin/capture/open"
)

// Settings are what a settings file says. Paths are as the program can open
// them: relative ones in the file count from the file's folder.
type Settings struct {
	// PolePairs and Slots are 0, and SensorRadiusMM is, where the file does not say.
	PolePairs, Slots int
	// Connection is star or delta; empty where the file does not say.
	Connection     string
	SensorRadiusMM float64
	Leads          capture.Leads
	// Table is the controller's drive table, a name or a path; empty where the
	// file does not say.
	Table      string
	Recordings []Recording
}

// Recording is one recording of the motor.
type Recording struct {
	Path string
	Read csvfile.Options
	// Spin numbers the spin that the recording is of; 0 where the file does not say.
	Spin int
}

// Spins returns each recording's number of the spin.
func (s *Settings) Spins() []int {
	var all []int
	for _, r := range s.Recordings {
		all = append(all, r.Spin)
	}
	return all
}

// file is the form of a settings file.
type file struct {
	Motor struct {
		PolePairs      int     `toml:"pole_pairs"`
		Slots          int     `toml:"slots"`
		Connection     string  `toml:"connection"`
		SensorRadiusMM float64 `toml:"sensor_radius_mm"`
	} `toml:"motor"`
	Leads      map[string]string `toml:"leads"`
	Controller struct {
		Table string `toml:"table"`
	} `toml:"controller"`
	Recording []struct {
		File       string  `toml:"file"`
		Columns    string  `toml:"columns"`
		SampleRate float64 `toml:"sample_rate"`
		Spin       int     `toml:"spin"`
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
	text = csvfile.UTF8(text)
	var f file
	d := toml.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&f); err != nil {
		return nil, positioned(path, err)
	}
	w := writing{path, text}
	if err := w.check(&f); err != nil {
		return nil, err
	}
	s := &Settings{PolePairs: f.Motor.PolePairs, Slots: f.Motor.Slots, Connection: f.Motor.Connection,
		SensorRadiusMM: f.Motor.SensorRadiusMM, Table: table(path, f.Controller.Table)}
	var err error
	if s.Leads, err = w.leads(f.Leads); err != nil {
		return nil, err
	}
	for _, r := range f.Recording {
		s.Recordings = append(s.Recordings, Recording{beside(path, r.File), csvfile.Options{Columns: r.Columns, SampleRate: r.SampleRate}, r.Spin})
	}
	return s, nil
}

// table leaves a built-in table's name alone and takes anything else for a path.
func table(path, name string) string {
	if name == "" || !strings.ContainsAny(name, "./\\") {
		return name
	}
	return beside(path, name)
}

// beside returns name as seen from the settings file's folder; standard input is in
// none.
func beside(path, name string) string {
	if name == open.Stdin || filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(filepath.Dir(path), name)
}

const knownKeys = "the keys are [motor] pole_pairs, slots, connection, sensor_radius_mm, [leads] p1 to h3, [controller] table, [[recording]] file, columns, sample_rate, spin"

// kinds are what the keys take.
var kinds = map[string]string{
	"motor.pole_pairs": "a whole number", "motor.slots": "a whole number", "motor.connection": `"star" or "delta"`,
	"motor.sensor_radius_mm": "a number of millimetres", "controller.table": "a name in quotes",
	"recording.file": "a name in quotes", "recording.columns": "a text in quotes", "recording.sample_rate": "a number of hertz",
	"recording.spin": "a whole number",
	"motor":          "a table: a line [motor] with its keys below", "leads": "a table: a line [leads] with its keys below",
	"controller": "a table: a line [controller] with its keys below", "recording": "written as a line [[recording]] with its keys below, once for each",
}

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
		return &capture.SyntaxError{Pos: capture.Position{File: path, Line: line, Column: column}, Msg: mistake(decode), Hint: knownKeys}
	}
	return &capture.SyntaxError{Pos: capture.Position{File: path}, Msg: strings.TrimPrefix(err.Error(), "toml: "), Hint: knownKeys}
}

// mistake says what is wrong in words of the file: the library's own name the
// program's types.
func mistake(err *toml.DecodeError) string {
	key := strings.Join(err.Key(), ".")
	kind, known := kinds[key]
	if strings.HasPrefix(key, "leads.") {
		kind, known = "a name in quotes", true
	}
	if text := strings.TrimPrefix(err.Error(), "toml: "); !known || !strings.Contains(text, "type") && !strings.Contains(text, "cannot") {
		return text
	}
	return key + " is to be " + kind
}
