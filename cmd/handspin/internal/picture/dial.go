package picture

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"handspin/commutation"
	"handspin/commutation/spin"
)

// Dial draws where in the electrical turn the sensors sit, how far each is from
// its place in the regular set that fits all best, and over which arc it is high.
// ok is false where no sensor has a place.
func Dial(r *spin.Result, n Names) (p Picture, ok bool) {
	var said []string
	for i, s := range r.Sensors {
		if s.Placed && !math.IsNaN(s.ErrorDeg) {
			said = append(said, fmt.Sprintf("h%d at %.1f degrees, %+.1f off place", i+1, place(s), s.ErrorDeg))
		}
	}
	if len(said) == 0 {
		return p, false
	}
	p.Title = "Sensor places in the electrical turn"
	p.Words = "A dial of one electrical turn: " + strings.Join(said, "; ") + "."
	p.Note = "A sensor's place is the middle of the arc over which it is high, drawn inside. The ticks across the rim are the regular set that fits best. " +
		"Zero is on top, and the angle grows forward, clockwise."
	s := newSheet(300)
	d := dial{s, s.Center(), 92}
	d.face()
	for i, sensor := range r.Sensors {
		if sensor.Placed && !math.IsNaN(sensor.ErrorDeg) {
			d.sensor(i, sensor, n.Hall[i])
		}
	}
	p.SVG = s.inline(p.Title)
	return p, true
}

// place is the middle of the arc over which a sensor is high.
func place(s spin.Sensor) float64 {
	return commutation.Wrap(s.RiseDeg.Value + commutation.Wrap(s.FallDeg.Value-s.RiseDeg.Value)/2)
}

// dial is a circle of one electrical turn.
type dial struct {
	*sheet
	centre vg.Point
	radius vg.Length
}

// at returns the point at an angle and a distance from the centre in radii.
func (d dial) at(deg, radii float64) vg.Point {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	r := float64(d.radius) * radii
	return d.centre.Add(vg.Point{X: vg.Length(r * sin), Y: vg.Length(r * cos)})
}

func (d dial) spoke(style draw.LineStyle, deg, from, to float64) {
	d.StrokeLines(style, []vg.Point{d.at(deg, from), d.at(deg, to)})
}

// arc draws an arc from one angle forward over a width.
func (d dial) arc(style draw.LineStyle, from, width, radii float64) {
	var p vg.Path
	p.Move(d.at(from, radii))
	p.Arc(d.centre, d.radius*vg.Length(radii), math.Pi/2-from*math.Pi/180, -width*math.Pi/180)
	d.SetLineStyle(style)
	d.Stroke(p)
}

// face draws the rim and its marks.
func (d dial) face() {
	d.arc(axisLine, 0, 360, 1)
	for deg := 0.0; deg < 360; deg += 10 {
		length := 0.03
		if math.Mod(deg, 30) == 0 {
			length = 0.06
		}
		d.spoke(axisLine, deg, 1-length, 1)
	}
	for deg := 0.0; deg < 360; deg += 90 {
		style := words(text.XCenter, text.YCenter)
		style.Color = rule
		d.FillText(style, d.at(deg, 0.8), fmt.Sprintf("%.0f°", deg))
	}
}

// sensor draws one sensor's arc, its ideal place and its own.
func (d dial) sensor(i int, s spin.Sensor, name string) {
	deg, high := place(s), commutation.Wrap(s.FallDeg.Value-s.RiseDeg.Value)
	d.arc(lead(i), s.RiseDeg.Value, high, 0.36+0.13*float64(i))
	goal := axisLine
	goal.Width = 1.6
	d.spoke(goal, deg-s.ErrorDeg, 0.9, 1.12)
	own := lead(i)
	own.Dashes, own.Width = nil, 2.4
	d.spoke(own, deg, 0.36+0.13*float64(i), 1)
	d.SetColor(palette[i])
	tip, left, right := d.at(deg, 1.01), d.at(deg-3.5, 1.1), d.at(deg+3.5, 1.1)
	d.FillPolygon(palette[i], []vg.Point{tip, left, right})
	d.label(deg, strong(words(text.XCenter, text.YBottom)), fmt.Sprintf("h%d  %+.1f°", i+1, s.ErrorDeg), short(name, 12))
}

// label writes one or two lines outside the rim, on the side where the sensor is.
func (d dial) label(deg float64, style text.Style, first, second string) {
	at := d.at(deg, 1.17)
	sin, cos := math.Sincos(deg * math.Pi / 180)
	style.XAlign = text.XAlignment(-0.5 + 0.5*sin)
	lines := []string{first}
	if second != "" {
		lines = append(lines, second)
	}
	const step = 14
	// The block's middle is shifted outward, up or down, by half its height.
	at.Y += vg.Length(step*float64(len(lines))/2*(1+cos)) - step
	for k, line := range lines {
		if k > 0 {
			style = words(style.XAlign, style.YAlign)
		}
		d.FillText(style, at, line)
		at.Y -= step
	}
}
