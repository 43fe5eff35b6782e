package proof

import "fmt"

// Bin is the lists whose confidence is from Low to High, and how many of them
// are exactly right.
type Bin struct {
	Low, High float64
	Right     Share
	sum       float64 // of the confidences
}

// bins returns empty ones, finest where a list is called ranked.
func bins() []Bin {
	edges := []float64{0, 0.25, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 0.999, 1}
	var out []Bin
	for i := range len(edges) - 1 {
		out = append(out, Bin{Low: edges[i], High: edges[i+1]})
	}
	return out
}

// Name gives the bin's range.
func (b Bin) Name() string { return fmt.Sprintf("%g to %g", b.Low, b.High) }

// Mean is the mean of the confidences in the bin, NaN where it is empty.
func (b Bin) Mean() float64 { return b.sum / float64(b.Right.All) }

// off reports whether the bin's confidences, from a half on, are not borne out:
// their mean is outside the interval of the share that was right. More right
// than claimed counts only below 0.999, which is as sure as anyone needs to be.
func (b Bin) off() bool {
	low, high := b.Right.Interval()
	if b.Right.All == 0 || b.Low < 0.5 {
		return false
	}
	return b.Mean() > high || b.Mean() < low && b.Low < 0.999
}

// bin counts an outcome that has a list by its confidence.
func (f *Figures) bin(o Outcome) {
	if !o.Listed {
		return
	}
	for i := range f.Bins {
		b := &f.Bins[i]
		if o.Confidence < b.High || i == len(f.Bins)-1 {
			b.Right.Count(o.Exact)
			b.sum += o.Confidence
			return
		}
	}
}
