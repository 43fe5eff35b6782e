package present

import (
	"io"
	"strings"
)

// page collects text and the first error on the way.
type page struct {
	b   strings.Builder
	err error
}

// para adds text, broken into lines; an empty one adds nothing.
func (p *page) para(text string) {
	if text != "" {
		p.b.WriteString(wrap("", "", text))
	}
}

// item adds text, broken into lines that hang by two columns after a mark.
func (p *page) item(mark, text string) {
	if text != "" {
		p.b.WriteString(wrap(mark, strings.Repeat(" ", len(mark)), text))
	}
}

// line adds text as it is where it fits, broken into lines where not.
func (p *page) line(indent, text string) {
	if widest(indent+text) > columns {
		p.item(indent, text)
		return
	}
	p.b.WriteString(indent + text + "\n")
}

// gap adds an empty line.
func (p *page) gap() { p.b.WriteString("\n") }

// table adds a table of the given layout.
func (p *page) table(layout func([]string, [][]string) (string, error), header []string, rows [][]string) {
	text, err := layout(header, rows)
	if p.err == nil {
		p.err = err
	}
	p.b.WriteString(text)
}

// section adds blocks, if there are any, after a gap.
func (p *page) section(blocks []block) {
	if len(blocks) > 0 {
		p.gap()
	}
	for _, b := range blocks {
		p.para(b.title)
		if len(b.rows) > 0 {
			p.table(plainTable, b.header, b.rows)
		}
		p.para(b.text)
		for _, item := range b.items {
			p.item("  - ", item)
		}
	}
}

// flush writes the page, or returns the error that spoilt it.
func (p *page) flush(w io.Writer) error {
	if p.err != nil {
		return p.err
	}
	_, err := io.WriteString(w, p.b.String())
	return err
}
