package csvfile

import (
	"regexp"
	"strings"
)

// meta are an instrument's settings: what its file says under which word, in
// lower case.
type meta map[string]string

// readMeta reads the lines above a table, comments among them, the left cells of
// its first rows, and values that stand under a name of their own in the row of
// units.
func (s *source) readMeta(t *table) meta {
	m := meta{}
	for at := 0; at < t.first; {
		to, next := s.line(at)
		m.line(strings.TrimLeft(string(s.text[at:to]), "#; \t\r"), t.sep)
		at = next
	}
	m.beside(s, t)
	names, units := s.cellsOf(t.names, t.block), s.cellsOf(t.units, t.block)
	for i := range names {
		if _, _, number := parseNumber([]byte(s.cellText(units, i))); number {
			m.add(s.cellText(names, i), s.cellText(units, i))
		}
	}
	return m
}

// line adds what one line says: "word,value", "word: value" or "word=value".
func (m meta) line(text string, sep byte) {
	if key, value, ok := strings.Cut(text, string(sep)); ok && strings.Trim(value, string(sep)+" \t\"") != "" {
		value, _, _ = strings.Cut(strings.TrimLeft(value, string(sep)), string(sep))
		m.add(key, value)
		return
	}
	if i := strings.IndexAny(text, ":="); i >= 0 {
		m.add(text[:i], strings.TrimRight(text[i+1:], string(sep)))
	}
}

// beside adds the settings in the left cells of the first rows.
func (m meta) beside(s *source, t *table) {
	left := t.filled[0]
	if left < 2 {
		return
	}
	rest := source{text: s.text[t.first:]}
	n := 0
	rest.lines(func(from, to int) bool {
		cells := split(rest.text, from, to, t.sep, nil)
		m.add(rest.cellText(cells, 0), rest.cellText(cells, 1))
		n++
		return n < lookedAt
	})
}

func (m meta) add(key, value string) {
	key = lower(strings.Trim(key, " \t\":="))
	if _, twice := m[key]; !twice && key != "" {
		m[key] = strings.Trim(value, " \t\"")
	}
}

// interval returns the seconds from row to row; 0 where the file does not say.
func (m meta) interval() float64 {
	for _, key := range []string{"sample interval", "time interval", "sampling interval", "sampling period", "increment", "clock"} {
		if v, ok := seconds(m[key]); ok && v > 0 {
			return v
		}
	}
	for _, key := range []string{"samplerate", "sample rate", "sampling rate", "sampling frequency"} {
		if v, ok := hertz(m[key]); ok && v > 0 {
			return 1 / v
		}
	}
	return 0
}

var timeOfDay = regexp.MustCompile(`\d:`)

// start returns when the first row was sampled, in seconds, by what the file says; 0
// where it does not say.
func (m meta) start() float64 {
	for _, key := range []string{"start", "start time", "time start", "horizontal start"} {
		if v, ok := seconds(m[key]); ok && !timeOfDay.MatchString(m[key]) {
			return v
		}
	}
	return 0
}

// fromMeta fills in names and units that only the settings tell.
func (t *table) fromMeta() {
	for i := range t.columns {
		h := &t.columns[i]
		if h.unit == "" && (timeName.MatchString(lower(h.name)) || h.name == "" && i == 0) {
			h.unit = t.meta["horizontal units"]
		}
	}
	if len(t.columns) != 2 {
		return
	}
	y := &t.columns[1]
	if y.name == "" {
		y.name = t.meta["source"]
	}
	if y.unit == "" {
		units := t.meta["vertical units"]
		y.unit = units[strings.LastIndexByte(units, ':')+1:]
	}
}
