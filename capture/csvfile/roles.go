package csvfile

import (
	"bytes"
	"math"
	"regexp"
	"slices"
)

// role is what a column of a table is.
type role uint8

const (
	notUsed role = iota
	ofTime
	ofCount
	analogue
	digital
)

// facts are the values of a table's columns in its first rows, which decide once
// for the file what each column is.
type facts [][]float64

// factRows bounds the rows that decide. It is more than a board records in some
// seconds, so that slow signals change within it.
const factRows = 20_000

// readFacts reads the values of all columns; a cell without a number is NaN, and so
// are those of a row that is too long, which is damaged. A longer file is looked at
// all over, too: at a scope's rate these rows may be those before the rotor turned.
func (s *source) readFacts(t *table) facts {
	f := make(facts, len(t.columns))
	rest := source{text: s.text[t.first:]}
	n, end := 0, 0
	var cells []cell
	rest.lines(func(from, to int) bool {
		cells = rest.addRow(t, f, from, to, cells)
		n, end = n+1, to
		return n < factRows
	})
	if all := len(rest.text); all-end > end {
		spread := make(facts, len(t.columns))
		for i := range factRows {
			from := i * (all / factRows)
			if line := bytes.IndexByte(rest.text[from:], '\n'); line >= 0 {
				from += line + 1
				to, _ := rest.line(from)
				cells = rest.addRow(t, spread, from, to, cells)
			}
		}
		for i := range t.columns {
			t.columns[i].throughout = spread[i]
		}
	}
	return f
}

// addRow adds the values of the row text[from:to] to the facts. It returns its cells, room
// for the next row's.
func (s *source) addRow(t *table, f facts, from, to int, room []cell) []cell {
	cells := split(s.text, from, to, t.sep, room[:0])
	tooLong := namedWidth(cells) > max(t.filled[len(t.filled)-1]+1, t.named)
	for i, h := range t.columns {
		v := math.NaN()
		if h.index < len(cells) && !tooLong {
			c := cells[h.index]
			if x, _, ok := parseNumber(s.text[c.from:c.to]); ok && math.Abs(x) < sentinel {
				v = x
			}
		}
		f[i] = append(f[i], v)
	}
	return cells
}

var (
	// timeName and countName are what instruments call time and the row's number.
	timeName  = regexp.MustCompile(`^(t|time|times|x|x-axis|second|seconds|zeit|uhrzeit|temps|tiempo|tempo|hora|heure|tijd|czas|timestamp|time stamp|.* x|.*time)$`)
	countName = regexp.MustCompile(`^(n|no\.?|nr\.?|index|sample|samples|sequence|point|points|#)$`)
	// digitalName is what logic analysers call their inputs.
	digitalName = regexp.MustCompile(`^(d|dio|din|digital)[ _-]*\d+$`)
)

// roles says what each column is.
func (t *table) roles(f facts) []role {
	out := make([]role, len(t.columns))
	for i, h := range t.columns {
		out[i] = h.role(f[i])
	}
	count := slices.Index(out, ofCount)
	switch {
	case slices.Contains(out, ofTime):
	case count >= 0 && t.meta.interval() > 0:
		out[count] = ofTime
	case count < 0 && out[0] != digital && t.columns[0].unit == "" && increases(f[0]):
		out[0] = ofTime
	}
	if !slices.Contains(out, ofTime) {
		return out
	}
	for i, h := range t.columns {
		if out[i] == analogue && h.unit == "" && len(f[i]) >= fewRows && increases(f[i]) {
			out[i] = notUsed // another clock, or a count
		}
	}
	return out
}

func (h heading) role(values []float64) role {
	name := lower(h.name)
	u, known := findUnit(h.unit)
	switch {
	case known && u.time:
		return ofTime
	case known:
		return analogue
	case (countName.MatchString(name) || lower(h.unit) == "sequence") && counts(values):
		return ofCount
	case h.unit == "" && timeName.MatchString(name):
		return ofTime
	case lower(h.unit) == "logic" || digitalName.MatchString(name) || h.unit == "" && binaryValues(h.over(values)):
		return digital
	case h.unit == "":
		return analogue
	}
	return notUsed
}

func binaryValues(values []float64) bool {
	return !slices.ContainsFunc(values, func(v float64) bool { return v != 0 && v != 1 && !math.IsNaN(v) })
}

// counts reports whether values are whole numbers that go up, where rows that
// are missing leave gaps. One that is missing itself counts for nothing.
func counts(values []float64) bool {
	n := 0
	for i, v := range values {
		if v != math.Trunc(v) && !math.IsNaN(v) {
			return false
		}
		if i > 0 && v > values[i-1] {
			n++
		}
	}
	return float64(n) >= shareSteady*float64(len(values)-1)
}

// increases reports whether values go up by steady steps, as time does that no
// word names.
func increases(values []float64) bool {
	if len(values) < minRows {
		return false
	}
	steps := make([]float64, 0, len(values))
	for i := range values[1:] {
		steps = append(steps, values[i+1]-values[i])
	}
	sorted := slices.Sorted(slices.Values(steps))
	middle := sorted[len(sorted)/2]
	n := 0
	for _, v := range steps {
		if v > 0 && math.Abs(v-middle) <= nearStep*middle {
			n++
		}
	}
	return float64(n) >= shareSteady*float64(len(steps))
}
