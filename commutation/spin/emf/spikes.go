package emf

import (
	"math"
	"slices"

	"handspin/capture"
	"handspin/capture/cores"
)

// The sparks of a drill's brushes, or of a hand that touches a lead, put single
// samples far away from their neighbours. No back-EMF does that: where it is sampled
// often enough, a sample lies between its neighbours or, at a crest, hardly beyond
// them. Such a sample is replaced by the mean of its neighbours before anything else
// is done, since a filter that follows the rotor is thrown off by it.
const (
	// spikeBend is in what four fifths of a column's samples are at most off the middle
	// of their neighbours: 1.6 standard deviations of white noise, of which a sample in
	// 100 million is so far beyond both its neighbours, and the bend of a fast wave.
	spikeBend = 4.0
	// spikeShare is in parts of the column's level; a smaller one does no harm.
	spikeShare = 0.2
	// spikeSteps is in steps between samples nearby. Six samples a turn make 0.6 at
	// a crest.
	spikeSteps = 3.0
	// spikeReach is how many samples either way are nearby.
	spikeReach = 4
)

// Calmed returns rec without spikes in its columns, and how many there were. Samples
// of which a turn has very many are averaged later, and need it not.
func Calmed(rec *capture.Recording) (*capture.Recording, int) {
	if blockSize(rec) > 1 {
		return rec, 0
	}
	columns, found := slices.Clone(rec.Columns), make([]int, len(rec.Columns))
	cores.Each(len(columns), func(c int) {
		columns[c].Value, found[c] = calm(columns[c].Value)
	})
	total := 0
	for _, n := range found {
		total += n
	}
	if total == 0 {
		return rec, 0
	}
	out := *rec
	out.Columns = columns
	return &out, total
}

// calm returns v, or where it has spikes a copy without, and their number. NaN are
// no samples.
func calm(v []float64) (out []float64, spikes int) {
	at := make([]int, 0, len(v)) // where samples are
	for i, x := range v {
		if !math.IsNaN(x) {
			at = append(at, i)
		}
	}
	if len(at) <= 2*spikeReach {
		return v, 0
	}
	out = v
	beyond := plainSpike(v, at)
	for again := true; again; { // a spike can hide one before it
		again = false
		for k := spikeReach; k < len(at)-spikeReach; k++ {
			if !isSpike(out, at[k-spikeReach:k+spikeReach+1], beyond) {
				continue
			}
			if spikes == 0 {
				out = slices.Clone(v)
			}
			out[at[k]] = (out[at[k-1]] + out[at[k+1]]) / 2
			spikes, again = spikes+1, true
		}
	}
	return out, spikes
}

// plainSpike returns how far beyond its neighbours a spike of v is at least, whose
// samples are at the places given.
func plainSpike(v []float64, at []int) float64 {
	bend, some := make([]float64, 0, maxProbe), make([]float64, 0, maxProbe)
	for k := 1; k+1 < len(at); k += max(1, len(at)/maxProbe) {
		if b := math.Abs(v[at[k]] - (v[at[k-1]]+v[at[k+1]])/2); b > 0 { // noise may be cut at zero
			bend = append(bend, b)
		}
		some = append(some, v[at[k]])
	}
	if len(bend) == 0 {
		return math.Inf(1)
	}
	slices.Sort(bend)
	slices.Sort(some)
	level := (some[len(some)*19/20] - some[len(some)/20]) / 2
	return max(spikeBend*bend[len(bend)*4/5], spikeShare*level)
}

// isSpike reports whether the middle one of the samples of v at near is beyond both
// its neighbours by more than beyond, and by more than the steps nearby account for:
// from one neighbour to the other, and the largest on the quieter side, since another
// spike may be on one.
func isSpike(v []float64, near []int, beyond float64) bool {
	before, x, after := v[near[spikeReach-1]], v[near[spikeReach]], v[near[spikeReach+1]]
	least := min(math.Abs(x-before), math.Abs(x-after))
	if (x-before)*(x-after) <= 0 || least <= beyond {
		return false
	}
	quieter := min(largestStep(v, near[:spikeReach]), largestStep(v, near[spikeReach+1:]))
	return least > spikeSteps*max(quieter, math.Abs(after-before))
}

func largestStep(v []float64, at []int) float64 {
	largest := 0.0
	for k := 1; k < len(at); k++ {
		largest = max(largest, math.Abs(v[at[k]]-v[at[k-1]]))
	}
	return largest
}
