package present

import (
	"io"
	"strings"
)

// sheet is paragraphs, tables and lists that can be printed as text or Markdown.
type sheet []part

// part is one of them: a title, or text alone, with the rows of a table or the
// entries of a list below it.
type part struct {
	title  string
	header []string
	rows   [][]string
	items  []string
}

func (s *sheet) para(text string) { *s = append(*s, part{title: text}) }

func (s *sheet) table(title string, header []string, rows [][]string) {
	*s = append(*s, part{title: title, header: header, rows: rows})
}

func (s *sheet) list(title string, items []string) {
	if len(items) > 0 {
		*s = append(*s, part{title: title, items: items})
	}
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
	}
	return p.flush(w)
}
