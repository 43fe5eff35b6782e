package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"
	"text/tabwriter"

	"handspin/commutation/proof"
)

// mostListed is how many seeds are printed of a list.
const mostListed = 20

// writeTable writes all figures for a terminal.
func writeTable(w io.Writer, o options, f proof.Figures) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "%d motors, seeds %d to %d\n\n", o.n, o.seed, o.seed+uint64(o.n)-1)
	for _, line := range []struct {
		name  string
		share proof.Share
	}{
		{"ranked", f.Ranked},
		{"first three right among ranked", f.Right},
		{"clean set right among ranked", f.Exact},
		{"abstained where it had to", f.Abstained},
		{"abstained needlessly", f.Needless},
		{"abstentions with a reason", f.Named},
	} {
		fmt.Fprintf(t, "%s\t%s\n", line.name, line.share)
	}
	writeReasons(t, f.Reasons)
	writeList(t, "wrong lists called ranked", f.Wrong)
	writeList(t, "ranked and must not be", f.Unheld)
	writeGroups(t, f)
	writeBins(t, f.Bins)
	return t.Flush()
}

func writeReasons(w io.Writer, reasons map[string]int) {
	codes := slices.SortedFunc(maps.Keys(reasons), func(a, b string) int {
		return cmp.Or(reasons[b]-reasons[a], strings.Compare(a, b))
	})
	for _, code := range codes {
		fmt.Fprintf(w, "  %s\t%d\n", code, reasons[code])
	}
}

func writeList(w io.Writer, name string, list []proof.Outcome) {
	if len(list) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s: %d\n", name, len(list))
	fmt.Fprintln(w, "  seed\tkind\tfaults\tshort by\tconfidence\tturns\tSNR")
	for i, o := range list {
		if i == mostListed {
			fmt.Fprintln(w, "  ...")
			return
		}
		fmt.Fprintf(w, "  %d\t%s\t%s\t%.3f\t%.4f\t%.1f\t%.0f\n", o.Seed, o.Kind, o.Faults, o.Short, o.Confidence, o.Turns, o.SNR)
	}
}

func writeGroups(w io.Writer, f proof.Figures) {
	fmt.Fprintln(w, "\nlargest errors of a recording, electrical degrees: median, 95 %, worst")
	fmt.Fprintln(w, "sound kind\tranked\tedges\tphases")
	for _, kind := range slices.Sorted(maps.Keys(f.Kinds)) {
		writeGroup(w, kind, *f.Kinds[kind])
	}
	fmt.Fprintln(w, "\nSNR\tranked\tedges\tphases")
	for i, g := range f.Signal {
		writeGroup(w, class(i, proof.SNRs), g)
	}
	fmt.Fprintln(w, "\nelectrical turns\tranked\tedges\tphases")
	for i, g := range f.Length {
		writeGroup(w, class(i, proof.TurnCounts), g)
	}
}

// class names the i-th class of those that end so.
func class(i int, ends []float64) string {
	from := 0.0
	if i > 0 {
		from = ends[i-1]
	}
	if math.IsInf(ends[i], 1) {
		return fmt.Sprintf("over %g", from)
	}
	return fmt.Sprintf("%g to %g", from, ends[i])
}

func writeGroup(w io.Writer, name string, g proof.Group) {
	if g.Ranked.All == 0 {
		return
	}
	spread := func(s proof.Spread) string { return fmt.Sprintf("%.2f %.2f %.1f", s.Median, s.P95, s.Worst) }
	fmt.Fprintf(w, "%s\t%.1f %% of %d\t%s\t%s\n", name, 100*g.Ranked.Value(), g.Ranked.All, spread(g.Edge), spread(g.Phase))
}

// writeBins draws the confidences against the shares that were right: the
// interval as a bar, the mean confidence as an o.
func writeBins(w io.Writer, bins []proof.Bin) {
	fmt.Fprintln(w, "\nconfidence\tlists\tmean\tright, interval\t0   right (-) and claimed (o)   1")
	for _, b := range bins {
		if b.Right.All == 0 {
			continue
		}
		low, high := b.Right.Interval()
		fmt.Fprintf(w, "%s\t%d\t%.4f\t%.4f (%.4f to %.4f)\t|%s|\n", b.Name(), b.Right.All, b.Mean(), b.Right.Value(), low, high, bar(low, high, b.Mean()))
	}
}

// bar draws an interval and a value within 0 to 1.
func bar(low, high, value float64) string {
	const width = 32
	at := func(x float64) int { return min(max(int(x*width), 0), width-1) }
	cells := []byte(strings.Repeat(" ", width))
	for i := at(low); i <= at(high); i++ {
		cells[i] = '-'
	}
	cells[at(value)] = 'o'
	return string(cells)
}

// repeats is how often a motor's recording is analysed with other noise beside
// its bound. All its angles share the error of the zero, so that a motor's ratio
// is known to about one part in sqrt(2 repeats): 9 % here, 25 % at 8.
const repeats = 64

// writeBound compares the errors of some motors with the Cramer-Rao bound. It
// returns what falls short.
func writeBound(w io.Writer, o options) (short []string, err error) {
	e, err := proof.Compare(o.seed, o.bound, repeats)
	if err != nil {
		return nil, err
	}
	edge, phase := e.Ratios()
	fmt.Fprintf(w, "\nCramer-Rao bound, %d motors by %d spins, electrical degrees: bound, achieved (ratio), bias\n", e.Motors, e.Repeats)
	fmt.Fprintf(w, "sensor edges  %.4f  %.4f (%.2f)  %.4f\n", e.Bound.Edge, e.Achieved.Edge, edge, e.Achieved.EdgeBias)
	fmt.Fprintf(w, "phase angles  %.4f  %.4f (%.2f)  %.4f\n", e.Bound.Phase, e.Achieved.Phase, phase, e.Achieved.PhaseBias)
	if edge > proof.MostOverBound || phase > proof.MostOverBound {
		short = []string{"the errors are more than 1.5 times the Cramer-Rao bound"}
	}
	_, err = fmt.Fprintln(w)
	return short, err
}
