package spin

import (
	"errors"
	"maps"
	"testing"

	"handspin/capture"
	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin/spintest"
)

// only returns the recording with nothing but some Hall leads and one signal:
// what a two-channel instrument would show. p12 and p23 are made of the columns.
func only(rec *capture.Recording, halls []int, signal capture.Signal, phases bool) *capture.Recording {
	out := &capture.Recording{Name: rec.Name, VoltsPerUnit: rec.VoltsPerUnit}
	for i := range rec.Time {
		if rec.Edge[i] {
			continue
		}
		levels := capture.UnknownLevels
		for _, h := range halls {
			high, _ := rec.Hall[i].Level(h)
			levels = levels.With(h, high)
		}
		out.Time = append(out.Time, rec.Time[i])
		out.Edge = append(out.Edge, false)
		out.Hall = append(out.Hall, levels)
		if phases {
			if len(out.Columns) == 0 {
				out.Columns = []capture.Column{{Signal: signal}}
			}
			c := &out.Columns[0]
			k := int(signal - capture.P12)
			c.Value = append(c.Value, rec.Columns[k].Value[i]-rec.Columns[(k+1)%3].Value[i])
		}
	}
	return out
}

// fourSpins are four recordings of one motor, each spun anew the same way.
func fourSpins(seed uint64) (recs []*capture.Recording, truth synth.Truth) {
	for k := range uint64(4) {
		c := synth.Random(synth.Ordinary, seed)
		c.FrontEnd.SkewUS = [3]float64{}
		c.FrontEnd.HallLagUS = 0
		c.FrontEnd.RateHz = 8000
		for i := range c.Spin.Pushes {
			c.Spin.Pushes[i].Peak *= 1 - 0.07*float64(k)
		}
		rec, t := c.Record()
		truth = t
		switch k {
		case 0:
			rec = only(rec, []int{0, 1}, 0, false)
		case 1:
			rec = only(rec, []int{0, 2}, 0, false)
		case 2:
			rec = only(rec, []int{0}, capture.P12, true)
		case 3:
			rec = only(rec, []int{0}, capture.P23, true)
		}
		recs = append(recs, rec)
	}
	return recs, truth
}

// Four two-channel recordings tell what one six-channel recording does. Angles
// come from one sensor's edges, two a turn, so 4 degrees are allowed for them.
func TestJoin(t *testing.T) {
	for seed := uint64(1); seed <= 8; seed++ {
		recs, truth := fourSpins(seed)
		r, err := AnalyseAll(recs, Options{})
		if err != nil {
			t.Fatal(err)
		}
		edge, phase := worstErrors(r, truth)
		if !(edge < 4 && phase < 4) {
			t.Errorf("seed %d: edges off by up to %.2f, phases by %.2f degrees", seed, edge, phase)
		}
		var ranking commutation.Ranking
		if r.Usable {
			ranking = commutation.Rank(r.Motor, r.Draws, commutation.Typical())
		}
		verdict, _ := commutation.Decide(ranking, r.Usable, r.Reliability, r.Findings)
		want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical()))
		if got := spintest.Clean(ranking); verdict != commutation.Ranked || !maps.Equal(got, want) {
			t.Errorf("seed %d: %s %v, want ranked %v\n%v", seed, verdict, got, want, r.Findings)
		}
	}
}

// What the set lacks is named, and the verdict is more-data.
func TestJoinIncomplete(t *testing.T) {
	recs, _ := fourSpins(1)
	r, err := AnalyseAll(recs[:3], Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Usable || !hasFinding(r, "phase-not-recorded", "") {
		t.Errorf("without p23: usable %v, %v", r.Usable, r.Findings)
	}
	r, err = AnalyseAll(recs[1:], Options{})
	if err != nil {
		t.Fatal(err)
	}
	if r.Usable || !hasFinding(r, "sensor-not-recorded", "") {
		t.Errorf("without h2: usable %v, %v", r.Usable, r.Findings)
	}
}

func TestJoinNeedsSharedSensor(t *testing.T) {
	rec, _ := synth.Random(synth.Ordinary, 1).Record()
	a, b := only(rec, []int{0, 1}, 0, false), only(rec, []int{2}, capture.P12, true)
	if _, err := AnalyseAll([]*capture.Recording{a, b}, Options{}); !errors.Is(err, ErrNoSharedSensor) {
		t.Errorf("error %v", err)
	}
}
