package present

import (
	"fmt"
	"io"
	"math"

	"handspin/commutation/difference"
	"handspin/commutation/spin"
)

// Comparison is what two recordings tell of a difference.
type Comparison struct {
	First, Second *Answer
	Found         difference.Comparison
}

// NewComparison compares the motor of one answer with that of another.
func NewComparison(first, second *Answer) *Comparison {
	return &Comparison{first, second, difference.Of(first.Spin, second.Spin, [2]int{first.Recording.PolePairs, second.Recording.PolePairs})}
}

// CompareText prints a comparison for a terminal.
func CompareText(w io.Writer, c *Comparison) error {
	p := &page{}
	p.para(c.named(c.sentence()))
	p.para(c.better())
	p.para(c.kept())
	for _, item := range c.findings() {
		p.item("  - ", item)
	}
	if !c.Found.Compared() {
		p.recordings(c)
		return p.flush(w)
	}
	p.explained(c)
	p.gap()
	p.changed(c)
	p.gap()
	p.soundness(c)
	p.recordings(c)
	p.limits()
	return p.flush(w)
}

// named adds the person's own names of the leads, where they are the same in both.
func (c *Comparison) named(text string) string {
	if c.First.Recording.Leads != c.Second.Recording.Leads {
		return text
	}
	return c.First.withNames(text)
}

// recordings adds which is which.
func (p *page) recordings(c *Comparison) {
	p.gap()
	p.para(fmt.Sprintf("First: %s. Second: %s.", c.First.turned(), c.Second.turned()))
}

// turned says which recording it is and how far the rotor turned in it.
func (a *Answer) turned() string {
	return fmt.Sprintf("%s, %.1f electrical turns", Clean(a.Recording.Name), a.Spin.TurnsForward+a.Spin.TurnsBackward)
}

// explained adds what the changes may be, and what is not known.
func (p *page) explained(c *Comparison) {
	title, items, todo := c.exchanges()
	if len(items) > 0 {
		p.gap()
		p.para(title)
		for _, item := range items {
			p.item("  - ", item)
		}
		p.para(todo)
	}
	for _, text := range []string{c.phaseCauses(), c.fluxCauses(), c.sharedWords(), c.magnetsWords()} {
		if text != "" {
			p.gap()
			p.para(text)
		}
	}
}

// changed adds the numbers of what changed.
func (p *page) changed(c *Comparison) {
	f := &c.Found
	if r := f.FluxRatio; !math.IsNaN(r.Value) {
		of := "Flux"
		if !f.FluxTells() {
			of = "Mean of the phases"
		}
		p.para(of + ", second over first: " + precise(r.Value, r.SD))
	}
	if r := f.TorqueRatio; !math.IsNaN(r.Value) {
		p.para("Six-step torque per ampere, each with the table that suits it, second over first: " + precise(r.Value, r.SD))
	}
	var rows [][]string
	for k := range 3 {
		rows = append(rows, []string{
			phaseKey(k), precise(f.PhaseRatio[k].Value, f.PhaseRatio[k].SD), moved(f.PhaseDeg[k]), "",
			hallKey(k), c.sensorMoved(k),
		})
	}
	p.table(plainTable, []string{"phase", c.relative(), "angle, deg", "", "sensor", "moved, deg"}, rows)
	p.para("Electrical degrees; + is later, in the direction in which the first was turned.")
}

// relative says what the phases' ratios are relative to.
func (c *Comparison) relative() string {
	if c.Found.Frame.Lead >= 0 {
		return "second/first"
	}
	return "of the mean"
}

// soundness adds how far from sound either is.
func (p *page) soundness(c *Comparison) {
	a, b := c.Found.Sound[0], c.Found.Sound[1]
	rows := [][]string{
		{"phases' unbalance, %", value(100*a.Unbalance.Value, 100*a.Unbalance.SD, 1), value(100*b.Unbalance.Value, 100*b.Unbalance.SD, 1)},
		{"worst sensor off its place, deg", value(a.WorstDeg.Value, a.WorstDeg.SD, 1), value(b.WorstDeg.Value, b.WorstDeg.SD, 1)},
		{"sensors together off timing, deg", signed(a.ShiftDeg), signed(b.ShiftDeg)},
		{"six-step torque, % of perfect timing", tenths(100 * a.Torque), tenths(100 * b.Torque)},
		{"  the least of it in the turn, %", tenths(100 * a.LeastTorque), tenths(100 * b.LeastTorque)},
	}
	if u := c.Found.Pattern.Uneven; !math.IsNaN(u[0].Value) && !math.IsNaN(u[1].Value) {
		rows = append(rows, []string{"what uneven magnets add, %", value(100*u[0].Value, 100*u[0].SD, 1), value(100*u[1].Value, 100*u[1].SD, 1)})
	}
	p.table(plainTable, []string{"how far from sound", "first", "second"}, rows)
	if c.Found.OneWay() {
		p.para("Timing and torque are those of the way and the speed of each recording.")
	}
}

// tenths prints a number to a tenth, "?" where it is not known.
func tenths(x float64) string { return value(x, math.NaN(), 1) }

// sensorMoved prints by how much the sensor of lead k moved, or that it stopped or started.
func (c *Comparison) sensorMoved(k int) string {
	switch {
	case c.Found.Stopped[k]:
		return "stopped"
	case c.Found.Started[k]:
		return "started"
	}
	return moved(c.Found.SensorDeg[k])
}

// moved prints a difference of angles with its sign.
func moved(v spin.Value) string {
	if math.IsNaN(v.Value) {
		return "?"
	}
	return signed(v.Value) + " ±" + fixed(math.Max(v.SD, 0.1), 1)
}
