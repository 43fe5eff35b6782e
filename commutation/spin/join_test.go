package spin

import (
	"errors"
	"maps"
	"slices"
	"strings"
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

// shot is what one recording of a set has: Hall leads, numbered from 0, and a
// difference if phase is true.
type shot struct {
	halls  []int
	phase  bool
	signal capture.Signal
}

func halls(leads ...int) shot { return shot{halls: leads} }

func with(lead int, signal capture.Signal) shot { return shot{[]int{lead}, true, signal} }

// shots are recordings of one motor, each spun anew the same way.
func shots(seed uint64, set ...shot) (recs []*capture.Recording, truth synth.Truth) {
	for k, s := range set {
		c := synth.Random(synth.Ordinary, seed)
		c.FrontEnd.SkewUS = [3]float64{}
		c.FrontEnd.HallLagUS = 0
		c.FrontEnd.RateHz = 8000
		for i := range c.Spin.Pushes {
			c.Spin.Pushes[i].Peak *= 1 - 0.07*float64(k)
		}
		rec, t := c.Record()
		truth = t
		rec.Name = string(rune('a'+k)) + ".csv"
		recs = append(recs, only(rec, s.halls, s.signal, s.phase))
	}
	return recs, truth
}

// fourSpins have h1 in common.
func fourSpins(seed uint64) (recs []*capture.Recording, truth synth.Truth) {
	return shots(seed, halls(0, 1), halls(0, 2), with(0, capture.P12), with(0, capture.P23))
}

// rankAll ranks the wirings that a set of recordings gives.
func rankAll(t *testing.T, recs []*capture.Recording) (*Result, commutation.Verdict, commutation.Ranking) {
	t.Helper()
	r, err := AnalyseAll(recs, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var ranking commutation.Ranking
	if r.Usable {
		ranking = commutation.Rank(r.Motor, r.Draws, commutation.Typical())
	}
	verdict, _ := commutation.Decide(ranking, r.Usable, r.Reliability, r.Findings)
	return r, verdict, ranking
}

// Sets of two-channel recordings tell what one six-channel recording does, whatever
// chain of sensors joins them and whichever two of the three differences they have.
// Angles come from one sensor's edges, two a turn, so 4 degrees are allowed for
// each tie on the longest way from one recording to another.
func TestJoin(t *testing.T) {
	for name, set := range map[string]struct {
		ties  float64
		seeds uint64
		shots []shot
	}{
		"all with h1":      {1, 3, []shot{halls(0, 1), halls(0, 2), with(0, capture.P12), with(0, capture.P23)}},
		"a chain":          {3, 2, []shot{halls(0, 1), halls(1, 2), with(2, capture.P12), with(0, capture.P23)}},
		"in another order": {3, 1, []shot{with(2, capture.P12), with(0, capture.P31), halls(1, 2), halls(0, 1)}},
		"p12 and p31":      {1, 1, []shot{halls(0, 1), halls(0, 2), with(0, capture.P12), with(0, capture.P31)}},
		"p23 and p31":      {2, 1, []shot{halls(0, 2), halls(1, 2), with(2, capture.P23), with(1, capture.P31)}},
		"a ring":           {1, 1, []shot{halls(0, 1), halls(1, 2), halls(2, 0), with(1, capture.P12), with(2, capture.P23), with(0, capture.P31)}},
	} {
		for seed := range set.seeds {
			recs, truth := shots(seed+1, set.shots...)
			r, verdict, ranking := rankAll(t, recs)
			edge, phase := worstErrors(r, truth)
			if limit := 4 * set.ties; !(edge < limit && phase < limit) {
				t.Errorf("%s, seed %d: edges off by up to %.2f, phases by %.2f degrees", name, seed+1, edge, phase)
			}
			want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical()))
			if got := spintest.Clean(ranking); verdict != commutation.Ranked || !maps.Equal(got, want) {
				t.Errorf("%s, seed %d: %s %v, want ranked %v\n%v", name, seed+1, verdict, got, want, r.Findings)
			}
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

// A recording that no sensor ties to the others is named; the others are joined.
func TestJoinWithOneApart(t *testing.T) {
	recs, _ := shots(1, halls(0, 1), with(0, capture.P12), with(1, capture.P23), with(2, capture.P31))
	r, verdict, _ := rankAll(t, recs)
	if verdict != commutation.MoreData || !hasFinding(r, "recording-apart", "") || !hasFinding(r, "sensor-not-recorded", "") {
		t.Errorf("%s, %v", verdict, r.Findings)
	}
	for _, f := range r.Findings {
		if f.Code == "recording-apart" && !strings.HasPrefix(f.Text, "d.csv ") {
			t.Errorf("%q does not name d.csv", f.Text)
		}
	}
}

// One recording spun the other way gives no list, and is among those that are named: in
// a ring of sensors it is the only one, in a chain its neighbour would do as well.
func TestJoinOneBackward(t *testing.T) {
	for name, set := range map[string][]shot{
		"ring":  {halls(0, 1), halls(1, 2), halls(2, 0), with(1, capture.P12)},
		"chain": {halls(0, 1), halls(1, 2), with(2, capture.P12), with(0, capture.P23)},
		"star":  {halls(0, 1), halls(0, 2), with(0, capture.P12), with(0, capture.P23)},
	} {
		for k := range set {
			if name == "ring" && k == 3 {
				continue // alone with a phase it contradicts nothing, and gives no list
			}
			recs, _ := shots(uint64(k+1), set...)
			spunBack(recs[k])
			r, verdict, _ := rankAll(t, recs)
			named := ""
			for _, f := range r.Findings {
				if f.Code == "mixed-direction" && f.Severity == commutation.Data {
					named += f.Text
				}
			}
			if verdict != commutation.MoreData || !strings.Contains(named, recs[k].Name) || name == "ring" && strings.Contains(named, " or ") {
				t.Errorf("%s, recording %d backward: %s\n%s\n%v", name, k, verdict, named, r.Findings)
			}
		}
	}
}

// That all were spun the same way is said to be what fits only if one that was not
// would show.
func TestJoinSameWay(t *testing.T) {
	recs, _ := fourSpins(1)
	for n, want := range map[int]string{3: "is taken for granted", 4: "is what fits"} {
		r, err := AnalyseAll(recs[:n], Options{})
		if err != nil || !slices.ContainsFunc(r.Findings, func(f commutation.Finding) bool {
			return f.Code == "joined" && strings.HasSuffix(f.Text, want)
		}) {
			t.Errorf("of %d: %v %v, want %s", n, err, r, want)
		}
	}
}

// spunBack turns a recording's time round, and with it the way it was spun and the
// sign of its back-EMF.
func spunBack(rec *capture.Recording) {
	slices.Reverse(rec.Hall)
	for _, c := range rec.Columns {
		slices.Reverse(c.Value)
		for i := range c.Value {
			c.Value[i] = -c.Value[i]
		}
	}
}

func TestJoinNeedsSharedSensor(t *testing.T) {
	rec, _ := synth.Random(synth.Ordinary, 1).Record()
	a, b := only(rec, []int{0, 1}, 0, false), only(rec, []int{2}, capture.P12, true)
	if _, err := AnalyseAll([]*capture.Recording{a, b}, Options{}); !errors.Is(err, ErrNoSharedSensor) {
		t.Errorf("error %v", err)
	}
}

// Differences that are cut off are joined as whole ones are; where too much is, that is said.
func TestJoinCutOff(t *testing.T) {
	for _, share := range []float64{0.7, 0.2} {
		recs, truth := fourSpins(3)
		for _, rec := range recs {
			for _, c := range rec.Columns {
				limit := share * max(slices.Max(c.Value), -slices.Min(c.Value))
				for i, v := range c.Value {
					c.Value[i] = min(max(v, -limit), limit)
				}
			}
		}
		r, verdict, ranking := rankAll(t, recs)
		if share < 0.5 {
			if verdict != commutation.MoreData || !hasFinding(r, "phase-irregular", "") {
				t.Errorf("cut off at %g: %s, %v", share, verdict, r.Findings)
			}
			continue
		}
		want := spintest.Clean(commutation.Rank(spintest.Motor(truth), nil, commutation.Typical()))
		if got := spintest.Clean(ranking); verdict != commutation.Ranked || !maps.Equal(got, want) || !hasFinding(r, "phase-clipped", "") {
			t.Errorf("cut off at %g: %s %v, want %v\n%v", share, verdict, got, want, r.Findings)
		}
	}
}
