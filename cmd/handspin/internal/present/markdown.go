package present

import (
	"fmt"
	"io"
	"math"
	"strings"

	"handspin/commutation"
)

// markdownMarks are the characters that mean something within a line.
const markdownMarks = "\\`*_[]<>|#&~"

// escape returns text as Markdown shows it literally.
func escape(text string) string {
	var b strings.Builder
	for _, r := range text {
		if strings.ContainsRune(markdownMarks, r) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// Markdown prints the verdict, the list and the findings as Markdown; without
// all, the list is the clean wirings.
func Markdown(w io.Writer, a *Answer, all bool) error {
	p := &page{}
	sentence, todo := a.headline()
	p.block("**" + escape(sentence) + "**")
	if todo != "" {
		p.block("To do: " + escape(todo) + ".")
	}
	if list := a.wirings(all); len(list) > 0 {
		p.block(escape(listTitle(a)))
		var rows [][]string
		for _, j := range list {
			e := a.ends(j.Wiring)
			row := append([]string{fmt.Sprint(j.Rank)}, e[:]...)
			rows = append(rows, append(row, string(j.Behaviour), percent(math.Abs(j.Torque)), percent(j.TorqueMin), percentSure(j.Confidence)))
		}
		p.table(pipeTable, []string{"rank", "U", "V", "W", "HU", "HV", "HW", "behaviour", "torque", "lowest", "sure"}, rows)
		p.gap()
		p.block(escape(a.trap()))
		if a.Verdict != commutation.MoreData {
			p.block(escape(a.reversing()))
		}
	} else {
		p.block(escape(noList(a)))
	}
	if len(a.Ranking.Wirings) > 0 {
		for _, text := range driveTableWords(a) {
			p.block(escape(text))
		}
	}
	p.block(escape(recordingWords(a)))
	p.block(escape(a.timingWords()))
	for _, f := range a.findings() {
		p.b.WriteString("- " + string(f.Severity) + ": " + escape(a.findingWords(f)) + "\n")
	}
	return p.flush(w)
}

// block adds a paragraph of one line; an empty one adds nothing.
func (p *page) block(text string) {
	if text != "" {
		p.b.WriteString(text + "\n\n")
	}
}
