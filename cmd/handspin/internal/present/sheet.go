package present

import (
	"io"
	"strings"
)

// sheet is paragraphs, tables and lists that can be printed as text or Markdown.
type sheet []part

// part is one of them: a title, or text alone, with the rows of a table, the
// entries of a list or the words of a command below it.
type part struct {
	title   string
	header  []string
	rows    [][]string
	items   []string
	command []string
}

// para adds text; an empty one adds nothing.
func (s *sheet) para(text string) {
	if text != "" {
		*s = append(*s, part{title: text})
	}
}

func (s *sheet) table(title string, header []string, rows [][]string) {
	*s = append(*s, part{title: title, header: header, rows: rows})
}

func (s *sheet) list(title string, items []string) {
	if len(items) > 0 {
		*s = append(*s, part{title: title, items: items})
	}
}

func (s *sheet) command(title string, words []string) {
	*s = append(*s, part{title: title, command: words})
}

// text prints the sheet for a terminal of 80 columns.
func (s sheet) text(w io.Writer) error {
	p := &page{}
	for i, part := range s {
		if i > 0 {
			p.gap()
		}
		p.para(part.title)
		switch {
		case part.rows != nil && strings.Join(part.header, "") == "":
			for _, line := range aligned(part.rows) {
				p.line("  ", line)
			}
		case part.rows != nil:
			p.table(plainTable, part.header, part.rows)
		}
		for _, item := range part.items {
			p.item("  - ", item+".")
		}
		p.b.WriteString(commandLines("  ", part.command))
	}
	return p.flush(w)
}

// markdown prints the sheet as Markdown, its first paragraph in bold.
func (s sheet) markdown(w io.Writer) error {
	p := &page{}
	for i, part := range s {
		title := escape(part.title)
		if i == 0 {
			title = "**" + title + "**"
		}
		p.block(title)
		if part.rows != nil {
			p.table(pipeTable, part.header, part.rows)
			p.gap()
		}
		for _, item := range part.items {
			p.b.WriteString("- " + escape(item) + ".\n")
		}
		if part.items != nil {
			p.gap()
		}
		if part.command != nil {
			p.b.WriteString("```\n" + commandLines("", part.command) + "```\n\n")
		}
	}
	return p.flush(w)
}

// commandLines returns a command as a shell takes it, a backslash at the end of
// each line that goes on; nothing where there are no words.
func commandLines(indent string, words []string) string {
	var b strings.Builder
	line := indent
	for i, word := range words {
		gap := " "
		if i == 0 {
			gap = ""
		}
		const more = " \\"
		if i > 0 && widest(line+gap+word+more) > columns {
			b.WriteString(line + more + "\n")
			line, gap = indent+"  ", ""
		}
		line += gap + word
	}
	if len(words) > 0 {
		b.WriteString(line + "\n")
	}
	return b.String()
}
