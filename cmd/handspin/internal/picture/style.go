package picture

import (
	"image/color"
	"math"
	"strconv"
	"strings"

	"golang.org/x/image/font"
	"gonum.org/v1/plot"
	plotfont "gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Three colours of the palette for all colour vision in M. Okabe and K. Ito,
// "Color Universal Design" (2008): blue, vermillion and bluish green, those that
// stand out by 3 to 1 (WCAG 2.2, 1.4.11) on a white and on a dark page alike.
var palette = [3]color.NRGBA{{0x00, 0x72, 0xb2, 0xff}, {0xd5, 0x5e, 0x00, 0xff}, {0x00, 0x9e, 0x73, 0xff}}

// dashes tell the three apart without colours: solid, dashed, dash and dot.
var dashes = [3][]vg.Length{nil, {7, 3}, {7, 2.5, 1.5, 2.5}}

var (
	// ink stands for the page's own text colour; see inline.
	ink = color.NRGBA{1, 1, 1, 0xff}
	// rule is for lines that guide the eye, on a white and a dark page.
	rule = color.NRGBA{0x90, 0x90, 0x90, 0xff}
)

// Sizes in units of the picture, of which it has 360 across.
const (
	width   = vg.Length(360)
	letters = plotfont.Length(12)
	margin  = vg.Length(4)
)

// lead returns the line style of the i-th of three.
func lead(i int) draw.LineStyle {
	return draw.LineStyle{Color: palette[i], Width: 1.8, Dashes: dashes[i]}
}

func faded(c color.NRGBA) color.NRGBA {
	c.A = 0x73
	return c
}

var (
	hairline = draw.LineStyle{Color: rule, Width: 0.6}
	axisLine = draw.LineStyle{Color: ink, Width: 0.9}
	dotted   = draw.LineStyle{Color: ink, Width: 0.9, Dashes: []vg.Length{1.2, 3}}
)

// words returns the style of text with the given alignment.
func words(x text.XAlignment, y text.YAlignment) text.Style {
	return text.Style{
		Color: ink, XAlign: x, YAlign: y, Handler: plot.DefaultTextHandler,
		Font: plotfont.From(plotfont.Font{Typeface: "Liberation", Variant: "Sans"}, letters),
	}
}

// strong makes text bold.
func strong(s text.Style) text.Style {
	s.Font.Weight = font.WeightBold
	return s
}

// axes returns an empty plot with labelled axes.
func axes(x, y string) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.LineStyle, a.Tick.LineStyle = axisLine, axisLine
		a.Padding, a.Tick.Length = 0, 4
	}
	p.X.Label.TextStyle = words(text.XCenter, text.YBottom)
	p.Y.Label.TextStyle = words(text.XCenter, text.YBottom)
	p.X.Tick.Label = words(text.XCenter, text.YTop)
	p.Y.Tick.Label = words(text.XRight, text.YCenter)
	p.X.Label.Text, p.Y.Label.Text = x, y
	p.X.Label.Padding, p.Y.Label.Padding = 3, 3
	p.X.Tick.Marker, p.Y.Tick.Marker = round{8}, round{7}
	return p
}

// round puts marks at multiples of 1, 2 or 5 times a power of ten, no more than
// so many.
type round struct{ most float64 }

// Ticks implements plot.Ticker.
func (r round) Ticks(low, high float64) []plot.Tick {
	least := (high - low) / r.most
	power := math.Pow(10, math.Floor(math.Log10(least)))
	step := 10 * power
	for _, m := range []float64{5, 2, 1} {
		if m*power >= least {
			step = m * power
		}
	}
	var out []plot.Tick
	for k := math.Ceil(low / step); k*step <= high; k++ {
		label := strconv.FormatFloat(k*step+0, 'g', 6, 64) // -0 + 0 is 0
		out = append(out, plot.Tick{Value: k * step, Label: strings.Replace(label, "-", "\u2212", 1)})
	}
	return out
}

// turnAxis makes x one electrical turn with a mark every 60 degrees.
func turnAxis(p *plot.Plot) {
	p.X.Min, p.X.Max = 0, 360
	p.X.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: 60, Label: "60"}, {Value: 120, Label: "120"},
		{Value: 180, Label: "180"}, {Value: 240, Label: "240"}, {Value: 300, Label: "300"}, {Value: 360, Label: "360"}}
}
