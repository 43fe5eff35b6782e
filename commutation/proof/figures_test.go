package proof

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"handspin/commutation"
)

// ranked is an outcome of a sound motor, right in all.
func ranked() Outcome {
	return Outcome{Kind: "ordinary", Verdict: commutation.Ranked, Confidence: 0.9995, Listed: true, Exact: true, Turns: 40, SNR: 100,
		EdgeDeg: 1, PhaseDeg: 2}
}

func with(change func(o *Outcome)) Outcome {
	o := ranked()
	change(&o)
	return o
}

// The counts below were made by hand from the list of outcomes.
func TestFiguresCount(t *testing.T) {
	f := Sum([]Outcome{
		ranked(),
		with(func(o *Outcome) { o.Wrong, o.Exact = 1, false }),
		with(func(o *Outcome) { o.Verdict, o.Reasons = commutation.MoreData, []string{"phase-weak"} }),
		with(func(o *Outcome) {
			o.Verdict, o.Expect, o.Reasons = commutation.RepairFirst, Must, []string{"phase-open"}
		}),
		with(func(o *Outcome) { o.Expect = Must }),
		with(func(o *Outcome) { o.Verdict, o.Expect = commutation.MoreData, May }),
	})
	for _, c := range []struct {
		name      string
		got, want Share
	}{
		{"ranked", f.Ranked, Share{3, 6}},
		{"right", f.Right, Share{2, 3}},
		{"exact", f.Exact, Share{2, 3}},
		{"abstained", f.Abstained, Share{1, 2}},
		{"needless", f.Needless, Share{1, 3}},
		{"named", f.Named, Share{2, 3}},
		{"kind", f.Kinds["ordinary"].Ranked, Share{2, 4}},
	} {
		if c.got != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, c.got, c.want)
		}
	}
	if len(f.Wrong) != 1 || len(f.Unheld) != 1 || !reflect.DeepEqual(f.Reasons, map[string]int{"phase-weak": 1}) {
		t.Errorf("wrong %d, unheld %d, reasons %v", len(f.Wrong), len(f.Unheld), f.Reasons)
	}
	short := strings.Join(f.Shortfalls(), "\n")
	for _, want := range []string{"wrong in their first three", "not ranked", "no reason", "0.999 to 1"} {
		if !strings.Contains(short, want) {
			t.Errorf("shortfalls do not name %q: %s", want, short)
		}
	}
}

// Nothing falls short where all is right.
func TestNothingFallsShort(t *testing.T) {
	if s := Sum([]Outcome{ranked(), ranked()}).Shortfalls(); s != nil {
		t.Errorf("shortfalls %q, want none", s)
	}
}

// The nearest-rank quantiles of 1 to 100 are the numbers themselves (definition).
func TestSpread(t *testing.T) {
	var x []float64
	for i := range 100 {
		x = append(x, float64(100-i))
	}
	if s := spread(x); s != (Spread{50, 95, 100}) {
		t.Errorf("%+v, want 50, 95, 100", s)
	}
	if s := spread(nil); !math.IsNaN(s.Median) {
		t.Errorf("the median of none is %g", s.Median)
	}
}

// A bin holds where the mean confidence lies in the interval of the share that
// was right: 90 of 100 have the interval 0.826 to 0.945 (the formula).
func TestBinsHold(t *testing.T) {
	at := func(confidence float64) bool {
		f := Sum(nil)
		for i := range 100 {
			f.bin(with(func(o *Outcome) { o.Confidence, o.Exact = confidence, i < 90 }))
		}
		for _, b := range f.Bins {
			if b.off() {
				return false
			}
		}
		return true
	}
	for confidence, want := range map[float64]bool{0.81: false, 0.84: true, 0.93: true, 0.96: false, 0.9995: false, 0.3: true} {
		if got := at(confidence); got != want {
			t.Errorf("confidence %g with 90 of 100 right: holds is %v, want %v", confidence, got, want)
		}
	}
}

func TestRowsAreRead(t *testing.T) {
	for _, o := range []Outcome{ranked(), Draw(7).Run(), Draw(8).Run()} {
		got, err := ParseRow(o.Row())
		if err != nil {
			t.Fatal(err)
		}
		if a, b := got.Row(), o.Row(); !reflect.DeepEqual(a, b) {
			t.Errorf("read %v\nfrom %v", a, b)
		}
	}
	for at, bad := range map[int]string{0: "-1", 4: "perhaps", 6: "much", 7: "maybe"} {
		cells := ranked().Row()
		cells[at] = bad
		if _, err := ParseRow(cells); err == nil {
			t.Errorf("cell %d of %q was read", at, bad)
		}
	}
	if _, err := ParseRow(nil); err == nil {
		t.Error("an empty row was read")
	}
}
