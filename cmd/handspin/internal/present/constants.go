package present

import (
	"fmt"
	"math"

	"handspin/commutation/rotor"
)

// constants adds the motor's constants where volts and pole pairs are known.
func (p *page) constants(a *Answer) {
	if title, rows := a.constantTable(); rows != nil {
		p.gap()
		p.para(title)
		p.table(plainTable, constantHeader, rows)
	}
}

var constantHeader = []string{"constant", "value"}

// motorConstants are not known without volts or pole pairs, nor where a phase is
// open or reversed: against the mean of such leads no phase reads what it makes.
func (a *Answer) motorConstants() (c rotor.Constants, known bool) {
	flux := a.Spin.FluxLinkage.Value
	if math.IsNaN(flux) || a.Recording.PolePairs == 0 || !a.Spin.Usable {
		return c, false
	}
	return rotor.NewConstants(flux, a.Recording.PolePairs), true
}

// constantTable has no rows where the constants are not known.
func (a *Answer) constantTable() (title string, rows [][]string) {
	c, known := a.motorConstants()
	if !known {
		return "", nil
	}
	return fmt.Sprintf("Constants of the motor as a star, from the strongest phase and %d pole pairs", a.Recording.PolePairs), [][]string{
		{"Ke, line to line, peak", fmt.Sprintf("%.4g V s/rad", c.KeLinePeak)},
		{"Ke, line to line, rms", fmt.Sprintf("%.4g V s/rad", c.KeLineRMS)},
		{"Kv, by the line's peak", fmt.Sprintf("%.4g rpm/V", c.KvLinePeak)},
		{"Kv, by six-step drive", fmt.Sprintf("%.4g rpm/V", c.KvSixStep)},
		{"Kt, six-step, per A of DC", fmt.Sprintf("%.4g N m/A", c.KtSixStep)},
		{"Kt, sine, per A peak", fmt.Sprintf("%.4g N m/A", c.KtSinePeak)},
		{"Kt, sine, per A rms", fmt.Sprintf("%.4g N m/A", c.KtSineRMS)},
	}
}
