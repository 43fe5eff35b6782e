package picture

import (
	"fmt"
	"math"

	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"handspin/commutation/spin"
)

// Speed draws the rotor's speed over time, forward upward. polePairs is 0 where
// it is not known. ok is false where the recording tells no speed.
func Speed(t *spin.Traces, polePairs int) (p Picture, ok bool) {
	factor, unit := 1.0, "electrical turns / s"
	if polePairs > 0 {
		factor, unit = 60/float64(polePairs), "rpm of the shaft"
	}
	lines, low, high := speedLines(t, factor)
	if len(lines) == 0 {
		return p, false
	}
	p.Title = "Speed over time"
	p.Words = fmt.Sprintf("Fastest forward: %s. Fastest backward: %s.", fastest(high, -low, unit), fastest(-low, high, unit))
	if len(t.Runs) > 1 {
		p.Note = "The recordings are drawn one after another."
	}
	s := newSheet(190)
	plot := axes("time, s", "speed, "+unit)
	plot.Add(zeroLine{})
	for _, line := range lines {
		style := lead(0)
		if line[len(line)/2].Y < 0 {
			style = lead(1)
		}
		plot.Add(&plotter.Line{XYs: line, LineStyle: style})
	}
	span := high - low
	plot.Y.Min, plot.Y.Max = low-0.08*span, high+0.16*span
	plot.Draw(s.Canvas)
	area := plot.DataCanvas(s.Canvas)
	x, y := plot.Transforms(&area)
	right := words(text.XRight, text.YTop)
	s.FillText(right, vg.Point{X: x(plot.X.Max), Y: y(plot.Y.Max)}, "↑ forward")
	if low < -0.05*span {
		right.YAlign = draw.YBottom
		s.FillText(right, vg.Point{X: x(plot.X.Max), Y: y(plot.Y.Min) + 2}, "↓ backward")
	}
	p.SVG = s.inline(p.Title)
	return p, true
}

// fastest prints a speed, but none where it is only what a rotor at rest seems to do.
func fastest(speed, other float64, unit string) string {
	if speed < 0.02*other {
		return "none"
	}
	return fmt.Sprintf("%.3g %s", speed, unit)
}

// speedLines returns pieces of one direction each, and the extremes, which include
// zero. The recordings follow one another.
func speedLines(t *spin.Traces, factor float64) (lines []plotter.XYs, low, high float64) {
	start := 0.0
	for _, run := range t.Runs {
		var line plotter.XYs
		for _, at := range run.Speed {
			now := plotter.XY{X: start + at.Second, Y: factor * at.Rate}
			last := len(line) - 1
			if last >= 0 && (math.IsNaN(at.Rate) || line[last].Y*now.Y < 0) {
				lines, line = append(lines, line), nil
			}
			if !math.IsNaN(at.Rate) {
				line = append(line, now)
				low, high = min(low, now.Y), max(high, now.Y)
			}
		}
		if len(line) > 0 {
			lines = append(lines, line)
		}
		if n := len(run.Speed); n > 0 {
			start += run.Speed[n-1].Second
		}
	}
	return lines, low, high
}
