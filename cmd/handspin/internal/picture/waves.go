package picture

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"handspin/commutation"
	"handspin/commutation/spin"
)

// Names are the person's names of the leads, empty where there is none.
type Names struct{ Phase, Hall [3]string }

// named returns a lead's key with its name.
func named(key, name string, most int) string {
	if name == "" {
		return key
	}
	return key + " " + short(name, most)
}

// Waves draws back-EMF over one electrical turn as measured, the fit on top, and
// the Hall levels beneath at the same angles. ok is false where the recording
// tells no angle.
func Waves(r *spin.Result, t *spin.Traces, n Names) (p Picture, ok bool) {
	if len(t.Runs) == 0 {
		return p, false
	}
	p.Title = "Back-EMF and Hall levels over one electrical turn"
	p.Words = wavesWords(r, t)
	p.Note = wavesNote(r, t)
	height := vg.Length(330)
	if len(t.Waves) == 0 {
		height = 150
	}
	s := newSheet(height)
	halls := hallPanel(r, t, n)
	lower := s.Canvas
	if len(t.Waves) > 0 {
		lower = draw.Crop(s.Canvas, 0, 0, 0, -190)
		upper := draw.Crop(s.Canvas, 0, 0, 140, -18)
		waves := wavePanel(r, t)
		align(waves, &upper, halls, &lower)
		waves.Draw(upper)
		waveKeys(s, t, n)
	}
	halls.Draw(lower)
	p.SVG = s.inline(p.Title)
	return p, true
}

// align makes the data of two panels begin and end at the same places across.
func align(p *plot.Plot, a *draw.Canvas, q *plot.Plot, b *draw.Canvas) {
	x, y := p.DataCanvas(*a), q.DataCanvas(*b)
	left, right := max(x.Min.X, y.Min.X), min(x.Max.X, y.Max.X)
	*a = draw.Crop(*a, left-x.Min.X, right-x.Max.X, 0, 0)
	*b = draw.Crop(*b, left-y.Min.X, right-y.Max.X, 0, 0)
}

func wavePanel(r *spin.Result, t *spin.Traces) *plot.Plot {
	scale, unit := 1.0, "recorded unit × s"
	if t.Volts {
		scale, unit = 1e3, "mV s"
	}
	p := axes("", "back-EMF / speed, "+unit)
	turnAxis(p)
	p.Add(ideal{r}, zeroLine{})
	most := 0.0
	for i, w := range t.Waves {
		var fit plotter.XYs
		for deg := 0.0; deg <= 360; deg += 2 {
			fit = append(fit, plotter.XY{X: deg, Y: scale * w.Fit.At(deg)})
			most = max(most, math.Abs(scale*w.Fit.At(deg)))
		}
		p.Add(&cloud{w.Points, scale, i}, &plotter.Line{XYs: fit, LineStyle: lead(i)})
	}
	p.Y.Min, p.Y.Max = -1.25*most, 1.25*most
	return p
}

// waveKeys names the waves above the panel.
func waveKeys(s *sheet, t *spin.Traces, n Names) {
	x, y := s.Min.X, s.Max.Y-7
	for i, w := range t.Waves {
		name := ""
		if !w.Signal.Difference() {
			name = n.Phase[w.Signal]
		}
		x = s.key(x, y, lead(i), named(w.Signal.String(), name, 9))
	}
}

// laneHeight is how high a level is drawn in its lane of height 1.
const laneHeight = 0.62

func hallPanel(r *spin.Result, t *spin.Traces, n Names) *plot.Plot {
	p := axes("electrical angle, degrees", "")
	turnAxis(p)
	var lanes plot.ConstantTicks
	p.Add(ideal{r})
	for i, levels := range t.Levels {
		base := float64(2-i) + 0.19
		lanes = append(lanes, plot.Tick{Value: base + laneHeight/2, Label: named(fmt.Sprintf("h%d", i+1), n.Hall[i], 8)})
		for _, line := range pieces(levels[:], base) {
			p.Add(&plotter.Line{XYs: line, LineStyle: lead(i)})
		}
	}
	p.Y.Tick.Marker, p.Y.Tick.Length = lanes, 0
	p.Y.Min, p.Y.Max = 0, 3
	return p
}

// pieces turns shares at high level by degree into lines, broken where nothing is
// known.
func pieces(levels []float64, base float64) []plotter.XYs {
	var out []plotter.XYs
	broken := true
	for d, share := range levels {
		if math.IsNaN(share) {
			broken = true
			continue
		}
		if broken {
			out = append(out, nil)
		}
		broken = false
		line, y := &out[len(out)-1], base+laneHeight*share
		if k := len(*line); k > 1 && (*line)[k-1].Y == y && (*line)[k-2].Y == y {
			(*line)[k-1].X = float64(d + 1) // the level stays
			continue
		}
		*line = append(*line, plotter.XY{X: float64(d), Y: y}, plotter.XY{X: float64(d + 1), Y: y})
	}
	return out
}

// cloud draws a wave's points, and from each the standard deviation of a sample.
type cloud struct {
	points []spin.WavePoint
	scale  float64
	lead   int
}

func (c *cloud) Plot(to draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&to)
	var dots, bars vg.Path
	for _, at := range c.points {
		px, v, sd := x(at.Deg), c.scale*at.Value, c.scale*at.Scatter
		low, high := y(max(v-sd, p.Y.Min)), y(min(v+sd, p.Y.Max))
		bars.Move(vg.Point{X: px, Y: low})
		bars.Line(vg.Point{X: px, Y: high})
		if v < p.Y.Min || v > p.Y.Max {
			continue
		}
		const radius = 1.5
		dots.Move(vg.Point{X: px + radius, Y: y(v)})
		dots.Arc(vg.Point{X: px, Y: y(v)}, radius, 0, 2*math.Pi)
	}
	to.SetLineStyle(draw.LineStyle{Color: faded(palette[c.lead]), Width: 0.8})
	to.Stroke(bars)
	to.SetColor(faded(palette[c.lead]))
	to.Fill(dots)
}

// zeroLine is a line at zero.
type zeroLine struct{}

func (zeroLine) Plot(to draw.Canvas, p *plot.Plot) {
	_, y := p.Transforms(&to)
	to.StrokeLine2(hairline, to.Min.X, y(0), to.Max.X, y(0))
}

// ideal draws lines where sensors in their ideal places switch.
type ideal struct{ r *spin.Result }

func (i ideal) Plot(to draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&to)
	for _, deg := range idealEdges(i.r) {
		to.StrokeLine2(dotted, x(deg), to.Min.Y, x(deg), to.Max.Y)
	}
}

// idealEdges returns where sensors switch that sit where six-step drive wants
// them, nearest to where they are, without repeating a place.
func idealEdges(r *spin.Result) []float64 {
	var out []float64
	for _, s := range r.Sensors {
		if !s.Placed || math.IsNaN(s.ErrorDeg) || math.IsNaN(r.ShiftDeg) {
			continue
		}
		place := s.RiseDeg.Value + commutation.Wrap(s.FallDeg.Value-s.RiseDeg.Value)/2
		for _, edge := range []float64{-90, 90} {
			out = append(out, commutation.Wrap(place-s.ErrorDeg-r.ShiftDeg+edge))
		}
	}
	return out
}

func wavesNote(r *spin.Result, t *spin.Traces) string {
	var out []string
	if len(t.Waves) > 0 {
		out = append(out, "Dots are means of the samples within 3 degrees, with the standard deviation of a single one; lines are the fit.")
	}
	if len(idealEdges(r)) > 0 {
		out = append(out, "Dotted: where ideal sensors switch.")
	}
	return strings.Join(append(out, "Angle zero is "+zeroWords(r)+"."), " ")
}

// zeroWords says where the angle begins.
func zeroWords(r *spin.Result) string {
	if p := r.Phases[0]; p.Known && p.AngleDeg.SD < 30 {
		return "where the back-EMF of p1 rises through zero"
	}
	return "where h1 rises"
}

func wavesWords(r *spin.Result, t *spin.Traces) string {
	text := "No back-EMF"
	if len(t.Waves) > 0 {
		var names []string
		for _, w := range t.Waves {
			names = append(names, w.Signal.String())
		}
		text = "Back-EMF of " + strings.Join(names, ", ")
	}
	text += " over one electrical turn, with the Hall levels"
	for i, s := range r.Sensors {
		if s.Placed {
			text += fmt.Sprintf("; h%d is high from %.0f to %.0f degrees", i+1, s.RiseDeg.Value, s.FallDeg.Value)
		}
	}
	return text + "."
}
