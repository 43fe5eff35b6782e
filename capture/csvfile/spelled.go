package csvfile

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
)

// Cells that are no numbers but stand for some are written over, with blanks where
// the number is shorter, so that places in the text stay as they are: words for
// levels, and times of a clock.

// Words for levels, also as spreadsheets of other countries save them.
const (
	highWords = `high|true|on|hi|h|yes|wahr|ein|hoch|vrai|verdadero|verdadeiro|vero|waar|prawda|sant|sand`
	lowWords  = `low|false|off|lo|l|no|falsch|aus|tief|faux|falso|onwaar|fa[lł]sz|falskt|falsk`
)

var (
	// levelWord is a cell with a word for a level, and levelRow a row that has one
	// behind a number, which names of columns are not.
	levelWord = regexp.MustCompile(`(?i)(^|[,;\t])([ "]*)(` + highWords + `|` + lowWords + `)([ "\r]*)($|[,;\t])`)
	levelRow  = regexp.MustCompile(`(?mi)^[ "]*[-+.]?\d[^\n]*[,;\t][ "]*(` + highWords + `|` + lowWords + `)[ "\r]*($|[,;\t])`)
	highWord  = regexp.MustCompile(`(?i)^(` + highWords + `)$`)
	// clockRow is a row that begins with a time of day, perhaps after a date.
	clockRow = regexp.MustCompile(`(?m)^[ "]*((?:\d{4}[-/.]\d{2}[-/.]\d{2}|\d{2}[-/.]\d{2}[-/.]\d{4})[ T]+)?(\d{1,2}):(\d{2}):(\d{2})([.,:]\d+)?(Z|[+-]\d{2}:?\d{2})?[ "]*[,;\t]`)
)

// spelled writes over the cells that stand for numbers.
func (r *reader) spelled() {
	head := r.text[:min(len(r.text), sampled)]
	if levelRow.Match(head) {
		r.text = withLevels(r.text)
		r.note("words such as HIGH and LOW are taken for 1 and 0")
	}
	if len(clockRow.FindAll(head, minRows)) == minRows {
		r.text = withSeconds(r.text)
		r.wallClock = true
	}
}

// withLevels returns text with 1 and 0 in place of the words for levels.
func withLevels(text []byte) []byte {
	out := bytes.Clone(text)
	s := source{text: out}
	s.lines(func(from, to int) bool {
		if c := out[from]; c != '"' && c != '+' && c != '-' && c != '.' && notDigit(rune(c)) {
			return true
		}
		for at := from; at < to; {
			m := levelWord.FindSubmatchIndex(out[at:to])
			if m == nil {
				break
			}
			word := out[at+m[6] : at+m[7]]
			level := byte('0')
			if highWord.Match(word) {
				level = '1'
			}
			for i := range word {
				word[i] = ' '
			}
			word[0] = level
			at += m[7]
		}
		return true
	})
	return out
}

// withSeconds returns text with seconds in place of the times of day with which
// rows begin, going on over midnight.
func withSeconds(text []byte) []byte {
	out := bytes.Clone(text)
	days, last := 0, -1
	for _, m := range clockRow.FindAllSubmatchIndex(text, -1) {
		part := func(g int) int {
			v, _ := strconv.Atoi(string(text[m[2*g]:m[2*g+1]]))
			return v
		}
		second := part(2)*3600 + part(3)*60 + part(4)
		if second < last-secondsOfDay/2 {
			days++
		}
		last = second
		from, to := m[4], m[9] // the time up to its whole seconds
		if m[2] >= 0 {
			from = m[2] // the date has its place for the digits too
		}
		written := fmt.Sprintf("%*d", to-from, second+days*secondsOfDay)
		copy(out[from:to], written)
		end := to
		if m[10] >= 0 {
			if end = m[11]; out[m[10]] == ':' {
				out[m[10]] = '.'
			}
		}
		if m[12] >= 0 {
			for i := end; i < m[13]; i++ {
				out[i] = ' '
			}
		}
	}
	return out
}

const secondsOfDay = 24 * 3600
