package bench

import (
	"bytes"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"handspin/capture"
	"handspin/capture/open"
)

// writing is a settings file as it is written, for the places of mistakes that only
// its meaning shows.
type writing struct {
	path string
	text []byte
}

// check refuses what cannot be.
func (w writing) check(f *file) error {
	m := f.Motor
	switch {
	case m.PolePairs < 0:
		return w.wrong("pole_pairs", 0, "pole_pairs must not be negative", "")
	case m.Slots < 0:
		return w.wrong("slots", 0, "slots must not be negative", "")
	case !(m.SensorRadiusMM >= 0) || m.SensorRadiusMM > 1e6:
		return w.wrong("sensor_radius_mm", 0, "sensor_radius_mm is no radius", "give the distance of the sensors from the shaft's axis in millimetres")
	case m.Connection != "" && m.Connection != "star" && m.Connection != "delta":
		return w.wrong("connection", 0, fmt.Sprintf("the connection is star or delta, not %.40q", m.Connection), "")
	case len(f.Recording) == 0:
		return w.wrong("", 0, "the settings name no recording", "add [[recording]] with a line file = \"name.csv\"")
	}
	fromStdin := 0
	for i, r := range f.Recording {
		if r.File == "" {
			return w.wrong("[[recording]]", i, fmt.Sprintf("recording %d names no file", i+1), "give each [[recording]] a line file = \"name.csv\"")
		}
		if r.Spin < 0 {
			return w.wrong("spin", 0, "spin must not be negative", "number the spins from 1: files with one number were recorded at once")
		}
		if r.File == open.Stdin {
			fromStdin++
		}
	}
	if fromStdin > 1 {
		return w.wrong("file", 0, "standard input (file = \"-\") can be one recording only", "save the others as files")
	}
	return nil
}

// leads turns the table into names, through the same rules as the flag.
func (w writing) leads(names map[string]string) (capture.Leads, error) {
	var all capture.Leads
	var parts []string
	for _, key := range slices.Sorted(maps.Keys(names)) {
		parts = append(parts, key+"="+names[key])
		l, err := capture.ParseLeads(strings.Join(parts, ","))
		if err != nil {
			return l, w.wrong(key, 0, "[leads]: "+err.Error(), "")
		}
		all = l
	}
	return all, nil
}

// wrong returns an error at the line where a key, or the head of a table, stands
// after others like it; without a line where it is written in another way.
func (w writing) wrong(key string, after int, msg, hint string) error {
	pos := capture.Position{File: w.path}
	line := regexp.MustCompile(`(?m)^[ \t]*(` + regexp.QuoteMeta(key) + `)`)
	if at := line.FindAllSubmatchIndex(w.text, after+1); key != "" && len(at) > after {
		begin := at[after][2]
		pos.Line = 1 + bytes.Count(w.text[:begin], []byte("\n"))
		pos.Column = begin - bytes.LastIndexByte(w.text[:begin], '\n')
	}
	return &capture.SyntaxError{Pos: pos, Msg: msg, Hint: hint}
}
