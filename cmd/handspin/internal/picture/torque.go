package picture

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot/plotter"

	"handspin/commutation"
)

// Torque draws the torque over the electrical turn for up to three wirings of a
// motor to one drive table. ok is false where there is none.
func Torque(m commutation.Motor, t commutation.DriveTable, wirings []commutation.Judged) (p Picture, ok bool) {
	if len(wirings) == 0 || len(wirings) > len(palette) {
		return p, false
	}
	const steps = 720
	plot := axes("electrical angle, degrees", "torque, % of ideal")
	turnAxis(plot)
	plot.Add(zeroLine{})
	low, high := 0.0, 0.0
	var said []string
	for i, j := range wirings {
		curve := commutation.TorqueCurve(m, j.Wiring, t, steps)
		if curve == nil {
			return p, false
		}
		var line plotter.XYs
		for k := range steps + 1 {
			y := 100 * curve[k%steps]
			line = append(line, plotter.XY{X: 360 * float64(k) / steps, Y: y})
			low, high = min(low, y), max(high, y)
		}
		plot.Add(&plotter.Line{XYs: line, LineStyle: lead(i)})
		said = append(said, keyOf(j))
	}
	plot.Y.Min, plot.Y.Max = low-5, high+5
	p.Title = "Torque over one electrical turn"
	p.Words = "Torque at constant current over one electrical turn; " + strings.Join(said, "; ") + "."
	p.Note = "At constant current. Below zero the motor is braked, whatever its mean says."
	s := newSheet(250)
	y := s.Max.Y - 7
	for i, name := range said {
		s.key(s.Min.X, y, lead(i), name)
		y -= 16
	}
	s.Max.Y = y
	plot.Draw(s.Canvas)
	p.SVG = s.inline(p.Title)
	return p, true
}

// keyOf says which wiring a curve is for.
func keyOf(j commutation.Judged) string {
	return fmt.Sprintf("rank %d, %s: mean %.0f %%, least %.0f %%", j.Rank,
		strings.Replace(string(j.Behaviour), "-", " ", 1), 100*math.Abs(j.Torque), 100*j.TorqueMin)
}
