package commutation

import (
	"math"
	"testing"
)

func TestDecide(t *testing.T) {
	good := Rank(motor120(), nil, Typical())
	mismatch := Rank(motor60(), nil, Typical())
	note, data, repair := Finding{Severity: Note}, Finding{Severity: Data}, Finding{Severity: Repair}
	for _, c := range []struct {
		what     string
		r        Ranking
		usable   bool
		findings []Finding
		want     Verdict
	}{
		{"nothing wrong", good, true, nil, Ranked},
		{"a note", good, true, []Finding{note}, Ranked},
		{"data", good, true, []Finding{note, data}, MoreData},
		{"repair before data", good, true, []Finding{data, repair}, RepairFirst},
		{"not usable", good, false, nil, MoreData},
		{"not usable, repair", good, false, []Finding{repair}, RepairFirst},
		{"the list's own finding", mismatch, true, nil, RepairFirst},
		{"the list's own finding, data", mismatch, true, []Finding{data}, MoreData},
		{"the list's own finding, repair and data", mismatch, true, []Finding{data, repair}, RepairFirst},
		{"no list", Ranking{}, false, nil, MoreData},
		{"an empty list", Ranking{}, true, nil, RepairFirst},
		{"nothing clean", Ranking{Wirings: []Judged{{Behaviour: Stall}}}, true, nil, RepairFirst},
	} {
		if got, _ := Decide(c.r, c.usable, 1, c.findings); got != c.want {
			t.Errorf("%s: %s, want %s", c.what, got, c.want)
		}
	}
}

func TestDecideConfidence(t *testing.T) {
	// Reliability times the probability of the clean set; a reliability that
	// is not one counts as the nearest that is.
	r := Rank(shifted(31), nil, Typical()) // cos 31 is 0.857: doubtful
	if !(r.CleanConfidence > 0.5 && r.CleanConfidence < 0.999) {
		t.Fatalf("confidence %g tells nothing here", r.CleanConfidence)
	}
	for _, c := range []struct {
		reliability float64
		usable      bool
		want        float64
	}{
		{1, true, r.CleanConfidence}, {0.5, true, r.CleanConfidence / 2}, {0, true, 0}, {1, false, 0},
		{-1, true, 0}, {7, true, r.CleanConfidence}, {math.NaN(), true, 0},
	} {
		_, got := Decide(r, c.usable, c.reliability, nil)
		near(t, "confidence", got, c.want, rounding)
	}
}
