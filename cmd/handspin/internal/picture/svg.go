package picture

import (
	"bytes"
	"fmt"
	"html"
	"regexp"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Picture is a drawing and the words that belong to it.
type Picture struct {
	Title string
	// Words say what it shows, with its numbers.
	Words string
	// Note says how to read it.
	Note string
	// SVG is an svg element to be set within HTML. All text in it is escaped.
	SVG string
}

// sheet is a picture being drawn.
type sheet struct {
	draw.Canvas
	svg *vgsvg.Canvas
}

func newSheet(height vg.Length) *sheet {
	c := vgsvg.NewWith(vgsvg.UseWH(width, height))
	s := &sheet{draw.New(c), c}
	s.Canvas = draw.Crop(s.Canvas, margin, -margin, margin, -margin)
	return s
}

// prolog is what comes before the drawing in a file of its own, and family the
// font by which the text was measured.
var (
	prolog = regexp.MustCompile(`(?s)^.*?<svg [^>]*viewBox="([^"]*)"[^>]*>`)
	family = regexp.MustCompile(`font-family:Liberation Sans;font-variant:normal;(font-weight:normal;)?(font-style:normal;)?`)
)

// inline returns the drawing as an element for HTML, under its name. The page's
// style gives the font, and its text colour the ink's.
func (s *sheet) inline(name string) string {
	var b bytes.Buffer
	s.svg.WriteTo(&b) // into memory: it cannot fail
	text := prolog.ReplaceAllString(b.String(), fmt.Sprintf(`<svg class="picture" viewBox="$1" role="img" aria-label="%s">`,
		strings.ReplaceAll(html.EscapeString(name), "$", "$$")))
	text = family.ReplaceAllString(text, "")
	return strings.ReplaceAll(text, fmt.Sprintf("#%02X%02X%02X", ink.R, ink.G, ink.B), "currentColor")
}

// key draws one line of a legend from x on: a piece of the line and its name. It
// returns where the next may begin.
func (s *sheet) key(x, y vg.Length, line draw.LineStyle, name string) vg.Length {
	const piece, gap = 22, 5
	s.StrokeLine2(line, x, y, x+piece, y)
	style := words(draw.XLeft, draw.YCenter)
	s.FillText(style, vg.Point{X: x + piece + gap, Y: y}, name)
	return x + piece + gap + style.Width(name) + 14
}

// short cuts a name that would not fit.
func short(name string, most int) string {
	if r := []rune(name); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return name
}
