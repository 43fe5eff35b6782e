package proof

import (
	"fmt"
	"strconv"
	"strings"

	"handspin/commutation"
)

// Columns are the names of an outcome's cells in a file.
var Columns = strings.Split("seed,kind,faults,table,expect,verdict,confidence,listed,wrong,short,exact,"+
	"turns,snr,edge_deg,phase_deg,edge_z,phase_z,reasons", ",")

// Row returns the outcome's cells.
func (o Outcome) Row() []string {
	number := func(x float64) string { return strconv.FormatFloat(x, 'g', 7, 64) }
	return []string{
		strconv.FormatUint(o.Seed, 10), o.Kind, o.Faults, o.Table, o.Expect.String(), string(o.Verdict),
		number(o.Confidence), strconv.FormatBool(o.Listed), strconv.Itoa(o.Wrong), number(o.Short), strconv.FormatBool(o.Exact),
		number(o.Turns), number(o.SNR), number(o.EdgeDeg), number(o.PhaseDeg), number(o.EdgeZ), number(o.PhaseZ),
		strings.Join(o.Reasons, "+"),
	}
}

// ParseRow is the inverse of [Outcome.Row].
func ParseRow(cells []string) (Outcome, error) {
	if len(cells) != len(Columns) {
		return Outcome{}, fmt.Errorf("%d cells, want %d", len(cells), len(Columns))
	}
	o := Outcome{Kind: cells[1], Faults: cells[2], Table: cells[3], Verdict: commutation.Verdict(cells[5])}
	if cells[17] != "" {
		o.Reasons = strings.Split(cells[17], "+")
	}
	var p parser
	o.Seed = p.seed(cells[0])
	o.Expect = p.expect(cells[4])
	o.Listed, o.Exact = p.truth(cells[7]), p.truth(cells[10])
	o.Wrong = int(p.number(cells[8]))
	for at, to := range map[int]*float64{6: &o.Confidence, 9: &o.Short, 11: &o.Turns, 12: &o.SNR,
		13: &o.EdgeDeg, 14: &o.PhaseDeg, 15: &o.EdgeZ, 16: &o.PhaseZ} {
		*to = p.number(cells[at])
	}
	return o, p.err
}

// parser keeps the first error.
type parser struct{ err error }

func (p *parser) fail(err error) {
	if p.err == nil {
		p.err = err
	}
}

func (p *parser) seed(s string) uint64 {
	n, err := strconv.ParseUint(s, 10, 64)
	p.fail(err)
	return n
}

func (p *parser) number(s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	p.fail(err)
	return x
}

func (p *parser) truth(s string) bool {
	b, err := strconv.ParseBool(s)
	p.fail(err)
	return b
}

func (p *parser) expect(s string) Expect {
	for e, name := range expectNames {
		if name == s {
			return Expect(e)
		}
	}
	p.fail(fmt.Errorf("%q is no expectation", s))
	return Sound
}
