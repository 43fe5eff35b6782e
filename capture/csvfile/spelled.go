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
	// clockRow is a row that begins with a time of day, perhaps after a date, which
	// may be in a cell of its own.
	clockRow = regexp.MustCompile(`(?m)^[ "]*((?:\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.]\d{4})(?:[ T]+|"?[,;\t][ "]*))?(\d{1,2}):(\d{2}):(\d{2})([.,:]\d+)?( ?[AaPp][Mm])?(Z|[+-]\d{2}:?\d{2})?[ "]*[,;\t]`)
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
		second := secondOfDay(text, m)
		if second < last-secondsOfDay/2 {
			days++
		}
		last = second
		from := m[4]
		if m[2] >= 0 && bytes.ContainsAny(text[m[2]:m[3]], ",;\t") {
			blankWord(out[m[2]:m[3]]) // the date's cell is left empty
		} else if m[2] >= 0 {
			from = m[2] // the date has its place for the digits too
		}
		copy(out[from:m[9]], fmt.Sprintf("%*d", m[9]-from, second+days*secondsOfDay))
		if m[10] >= 0 && out[m[10]] == ':' {
			out[m[10]] = '.'
		}
		for _, behind := range [][]int{m[12:14], m[14:16]} {
			if behind[0] >= 0 {
				blankWord(out[behind[0]:behind[1]])
			}
		}
	}
	return out
}

// secondOfDay returns the second of the day that a match of clockRow says.
func secondOfDay(text []byte, m []int) int {
	part := func(g int) int {
		v, _ := strconv.Atoi(string(text[m[2*g]:m[2*g+1]]))
		return v
	}
	hour := part(2)
	if m[12] >= 0 { // noon is 12 pm, midnight 12 am
		hour %= 12
		if half := bytes.TrimSpace(text[m[12]:m[13]]); half[0]|0x20 == 'p' {
			hour += 12
		}
	}
	return hour*3600 + part(3)*60 + part(4)
}

// blankWord blanks a text but for separators and quotes.
func blankWord(text []byte) {
	for i, c := range text {
		if bytes.IndexByte([]byte(",;\t\""), c) < 0 {
			text[i] = ' '
		}
	}
}

const secondsOfDay = 24 * 3600
