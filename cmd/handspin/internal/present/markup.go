package present

import (
	_ "embed"
	"html"
	"strings"
)

// markup is HTML being written. Text and values are escaped in it, always.
//
// It is no template since the linker keeps every method of every type for one,
// which would make the program a third larger.
type markup struct{ b strings.Builder }

//go:embed report.css
var style string

// open begins an element; attributes are names and values in turn.
func (m *markup) open(tag string, attributes ...string) {
	m.b.WriteString("<" + tag)
	for i := 0; i+1 < len(attributes); i += 2 {
		m.b.WriteString(" " + attributes[i] + `="` + html.EscapeString(attributes[i+1]) + `"`)
	}
	m.b.WriteString(">")
}

func (m *markup) close(tag string) { m.b.WriteString("</" + tag + ">\n") }

// element writes an element with text in it; without text, nothing.
func (m *markup) element(tag, text string, attributes ...string) {
	if text != "" {
		m.cell(tag, text, attributes...)
	}
}

// cell writes an element even where it is empty.
func (m *markup) cell(tag, text string, attributes ...string) {
	m.open(tag, attributes...)
	m.b.WriteString(html.EscapeString(text))
	m.close(tag)
}

// nothing allows a page no request to anywhere.
const nothing = "default-src 'none'; style-src 'unsafe-inline'"

func (m *markup) page(r *report) {
	m.open("html", "lang", "en")
	m.open("head")
	m.open("meta", "charset", "utf-8")
	m.open("meta", "name", "viewport", "content", "width=device-width, initial-scale=1")
	m.open("meta", "http-equiv", "Content-Security-Policy", "content", nothing)
	m.element("title", r.title)
	m.b.WriteString("<style>\n" + style + "</style>\n")
	m.close("head")
	m.open("body")
	m.open("main", "class", r.mark)
	m.verdict(r)
	m.answer(r)
	for _, s := range r.sections {
		m.section(s)
	}
	m.close("main")
	m.close("body")
	m.close("html")
}

func (m *markup) verdict(r *report) {
	m.open("header")
	m.element("p", r.title, "class", "file")
	m.element("h1", r.verdict)
	m.element("p", r.reason)
	m.element("p", r.warning)
	if r.todo != "" {
		m.element("p", "To do: "+r.todo)
	}
	m.close("header")
}

// answer writes what to connect, drawn where there is a drawing.
func (m *markup) answer(r *report) {
	m.open("section", "id", "answer", "aria-label", "What to connect")
	for _, b := range r.answer {
		m.element("h2", b.title)
		if r.wires != nil && b.title != "" {
			m.harness(r.wires)
		}
		b.title = ""
		m.block(b)
	}
	m.close("section")
}

// harness draws the six leads and their terminals.
func (m *markup) harness(leads []string) {
	m.open("table", "class", "harness")
	m.open("thead")
	m.open("tr")
	m.cell("th", "motor lead", "class", "lead", "scope", "col")
	m.cell("td", "")
	m.cell("th", "controller", "class", "terminal", "scope", "col")
	m.close("tr")
	m.close("thead")
	for i, lead := range leads {
		group := "phase"
		if i >= 3 {
			group = "hall"
		}
		if i%3 == 0 {
			m.open("tbody", "class", group)
		}
		m.open("tr")
		m.cell("td", lead, "class", "lead")
		m.open("td", "class", "wire", "aria-hidden", "true")
		m.cell("span", "")
		m.close("td")
		m.cell("td", terminals[i], "class", "terminal")
		m.close("tr")
		if i%3 == 2 {
			m.close("tbody")
		}
	}
	m.close("table")
}

func (m *markup) section(s section) {
	m.open("section", "id", s.id)
	m.element("h2", s.title)
	class := "words"
	if s.blocks[0].picture != "" {
		class = "figures"
	}
	m.open("div", "class", class)
	for _, b := range s.blocks {
		m.block(b)
	}
	m.close("div")
	m.close("section")
}

func (m *markup) block(b block) {
	if b.picture != "" {
		m.open("figure")
		m.element("h3", b.title)
		m.b.WriteString(b.picture) // an element that escapes what is in it
		m.element("figcaption", b.text)
		m.close("figure")
		return
	}
	m.element("h3", b.title)
	m.table(b.header, b.rows)
	m.element("p", b.text)
	if len(b.items) > 0 {
		m.open("ul")
		for _, item := range b.items {
			m.element("li", item)
		}
		m.close("ul")
	}
}

// table writes a table that scrolls by itself where the screen is narrow.
func (m *markup) table(header []string, rows [][]string) {
	if len(rows) == 0 {
		return
	}
	m.open("div", "class", "scroll", "tabindex", "0")
	m.open("table")
	if header != nil {
		m.open("thead")
		m.row("th", header)
		m.close("thead")
	}
	m.open("tbody")
	for _, row := range rows {
		m.row("td", row)
	}
	m.close("tbody")
	m.close("table")
	m.close("div")
}

func (m *markup) row(tag string, cells []string) {
	m.open("tr")
	for _, cell := range cells {
		m.cell(tag, cell)
	}
	m.close("tr")
}
