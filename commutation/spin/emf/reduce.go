package emf

import (
	"math"

	"handspin/capture"
)

// An instrument may sample a hundred times faster than a turning rotor needs. Such
// columns are reduced to means of blocks before anything else is done with them:
// the mean keeps what the samples tell of a signal that hardly changes within a
// block, and holds down what would fold into it. Hall edges stay as recorded.

const (
	// blocksPerTurn is how many blocks an electrical turn at the highest speed
	// keeps, about: eight for each sample of a fit, so that what is said of single
	// samples, as where a column is clipped, still holds. A mean over a block
	// lowers the seventh harmonic by 0.08 % (sin(x)/x with x = 7 pi/320).
	blocksPerTurn = 8 * samplesPerTurn
	// leastRows is how many rows are left as they are: there is nothing to gain.
	leastRows = 200_000
)

// blockSize returns how many samples of rec go into one block, 1 where they are
// left as they are.
func blockSize(rec *capture.Recording) int {
	most := rec.Rows() / leastRows
	if most < 2 {
		return 1
	}
	p := newProbe(rec)
	return min(most, max(1, sixth(p.lagged, rec.Rows())*6/blocksPerTurn))
}

// probe looks at a recording's columns about their means.
type probe struct {
	columns []capture.Column
	mean    []float64
}

// probed returns the step between the places of n that are looked at.
func probed(n int) int { return max(1, n/(8*maxProbe)) }

func newProbe(rec *capture.Recording) probe {
	p := probe{rec.Columns, make([]float64, len(rec.Columns))}
	for c, col := range rec.Columns {
		sum, n := 0.0, 0
		for i := 0; i < len(col.Value); i += probed(len(col.Value)) {
			if v := col.Value[i]; !math.IsNaN(v) {
				sum, n = sum+v, n+1
			}
		}
		p.mean[c] = sum / math.Max(1, float64(n))
	}
	return p
}

// lagged returns the sum over the columns of the mean product of a value and the
// one so many rows on, each less the column's mean.
func (p probe) lagged(lag int) float64 {
	total := 0.0
	for c, col := range p.columns {
		sum, n := 0.0, 0
		for i := 0; i+lag < len(col.Value); i += probed(len(col.Value)) {
			if v := (col.Value[i] - p.mean[c]) * (col.Value[i+lag] - p.mean[c]); !math.IsNaN(v) {
				sum, n = sum+v, n+1
			}
		}
		total += sum / math.Max(1, float64(n))
	}
	return total
}
