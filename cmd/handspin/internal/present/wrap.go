package present

import (
	"strings"

	"github.com/olekukonko/tablewriter/pkg/twwidth"
)

// columns is the width of the text output.
const columns = 80

// wrap breaks text at spaces into lines of at most [columns], with first before
// the first line and rest before the others. A word that is longer stays whole.
func wrap(first, rest, text string) string {
	var b strings.Builder
	line, empty := first, true
	for _, word := range words(text) {
		gap := " "
		if empty {
			gap = ""
		}
		if !empty && twwidth.Width(line)+1+twwidth.Width(word) > columns {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line, gap = rest, ""
		}
		line, empty = line+gap+word, false
	}
	b.WriteString(strings.TrimRight(line, " ") + "\n")
	return b.String()
}

// words splits text at spaces, but not before a percent sign.
func words(text string) []string {
	var out []string
	for word := range strings.FieldsSeq(text) {
		if last := len(out) - 1; last >= 0 && word[0] == '%' {
			out[last] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}
