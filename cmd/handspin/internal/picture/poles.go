package picture

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"handspin/commutation"
	"handspin/commutation/rotor"
)

// Poles draws how strong the rotor is pole by pole over a turn of the shaft: magnet
// by magnet where found has them, else by the half waves of the leads. ok is false
// where there are none.
func Poles(waves [3][]rotor.HalfWave, found *rotor.Pattern, n Names) (p Picture, ok bool) {
	series := byLead(waves)
	p.Title, p.Note = "Strength pole by pole over a turn of the shaft", "Bars are standard deviations. A lead shows the mean of the magnets over its coils."
	across := "angle of the shaft, degrees"
	if found != nil && len(found.Poles) == 0 {
		found = nil
	}
	if found != nil {
		series, across = []strengths{byMagnet(found)}, "magnet"
		p.Note = "Bars are standard deviations."
	}
	low, high := math.Inf(1), math.Inf(-1)
	s := newSheet(220)
	graph := axes(across, "strength, % of mean")
	x := s.Min.X
	for i, line := range series {
		if len(line.at) == 0 {
			continue
		}
		ok = true
		style := lead(i)
		style.Width = 0.9
		graph.Add(&plotter.Line{XYs: line.at, LineStyle: style}, &bars{line, i})
		for k, at := range line.at {
			low, high = min(low, at.Y-line.sd[k]), max(high, at.Y+line.sd[k])
			graph.X.Max = max(graph.X.Max, at.X)
		}
		if found == nil {
			key := fmt.Sprintf("p%d", i+1)
			x = s.key(x, s.Max.Y-7, lead(i), named(key, n.Phase[i], 9))
		}
	}
	if !ok {
		return p, false
	}
	p.Words = fmt.Sprintf("The poles have between %.1f and %.1f %% of their mean strength, one standard deviation included.", low, high)
	// A rotor as even as usual must not look ragged: five per cent either way at least.
	graph.Y.Min, graph.Y.Max = min(low, 95), max(high, 105)
	if graph.X.Min = 0; found == nil {
		turnAxis(graph)
	} else {
		graph.X.Max++
		graph.X.Tick.Marker = round{10}
	}
	graph.Draw(draw.Crop(s.Canvas, 0, 0, 0, -18))
	p.SVG = s.inline(p.Title)
	return p, true
}

// strengths are strengths in per cent with their standard deviations.
type strengths struct {
	at plotter.XYs
	sd []float64
}

// byLead returns the leads' half waves in the order of the shaft's angle.
func byLead(waves [3][]rotor.HalfWave) []strengths {
	out := make([]strengths, 3)
	for i, all := range waves {
		if len(all) == 0 {
			continue
		}
		first := 0
		for k, h := range all {
			if commutation.Wrap(h.PlaceDeg) < commutation.Wrap(all[first].PlaceDeg) {
				first = k
			}
		}
		for k := range all {
			h := all[(first+k)%len(all)]
			out[i].add(commutation.Wrap(h.PlaceDeg), h.Strength, h.StrengthSD)
		}
	}
	return out
}

// byMagnet returns the magnets by number; where the winding shows the mean of
// several, each has that.
func byMagnet(found *rotor.Pattern) (out strengths) {
	count := 0
	for _, m := range found.Poles {
		count += len(m.Numbers)
	}
	for number := range count {
		for _, m := range found.Poles {
			for _, k := range m.Numbers {
				if k == number {
					out.add(float64(number+1), m.Strength, m.StrengthSD)
				}
			}
		}
	}
	return out
}

func (s *strengths) add(x, strength, sd float64) {
	s.at = append(s.at, plotter.XY{X: x, Y: 100 * strength})
	s.sd = append(s.sd, 100*sd)
}

// bars draws points with their standard deviations.
type bars struct {
	strengths
	lead int
}

func (b *bars) Plot(to draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&to)
	style := lead(b.lead)
	style.Dashes = nil
	glyph := draw.GlyphStyle{Color: palette[b.lead], Radius: 2.4, Shape: draw.CircleGlyph{}}
	for k, at := range b.at {
		to.StrokeLine2(style, x(at.X), y(at.Y-b.sd[k]), x(at.X), y(at.Y+b.sd[k]))
		to.DrawGlyph(glyph, vg.Point{X: x(at.X), Y: y(at.Y)})
	}
}
