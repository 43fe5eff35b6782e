package capture

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// files makes recordings of the same times, each named after its leads, with a + for
// each that starts a second later.
func files(all string) (recs []*Recording) {
	for name := range strings.FieldsSeq(all) {
		rec := ramp(name, P1, float64(strings.Count(name, "+")), 100)
		rec.Columns = nil
		for lead := range strings.SplitSeq(strings.Trim(name, "+"), ",") {
			if signal := slices.Index(signalNames[:], lead); signal >= 0 {
				rec.Columns = append(rec.Columns, Column{Signal: Signal(signal), Source: lead, Value: make([]float64, 100)})
				continue
			}
			for i := range rec.Hall {
				rec.Hall[i] = rec.Hall[i].With(int(lead[1]-'1'), i%20 < 10)
			}
		}
		recs = append(recs, rec)
	}
	return recs
}

func TestGroup(t *testing.T) {
	for all, want := range map[string]string{
		// In their order, by two: by four h1 would be twice in a set.
		"h1 h2 h1 h3 h1 p12 h1 p23": "h1, h2|h1, h3|h1, p12|h1, p23",
		"h2 h1 h3 h1 p12 h1 p23 h1": "h2, h1|h3, h1|p12, h1|p23, h1",
		// By three; by two h3 with p23 would have no Hall lead of the others.
		"h1 h2 p12 h1 h3 p23": "h1, h2, p12|h1, h3, p23",
		// By time alone, whatever the order.
		"h1 h1+ h2 p12+ h3 p23+": "h1, h2, h3|h1+, p12+, p23+",
		"h1 h1+ h1++ h2 h3+":     "h1, h2|h1+, h3+|h1++",
		// Each can stand alone: nothing is taken for granted.
		"h1,h2 h3,p12 h1,h3 h2,p23": "h1,h2|h3,p12|h1,h3|h2,p23",
		"h1 h2+":                    "h1|h2+",
		// Levels and voltages in a file each.
		"h1,h2,h3 p1,p2,p3 h1,h2,h3 p1,p2,p3": "h1,h2,h3, p1,p2,p3|h1,h2,h3, p1,p2,p3",
		// What cannot be told.
		"h1 h1 h1 h1 h2 h3 p12 p23":           "which files are of one spin cannot be told: h1, h1, h1, h1, h2, h3, p12, p23 have the same times, and h1 more than once",
		"h1 h2 h1 h3 h1":                      "which files are of one spin cannot be told: h1, h2, h1, h3, h1 have the same times, and h1 more than once",
		"h1 h2 h3 h1 h2 h3 h1 h2 h3 h1 h2 h3": "which files are of one spin cannot be told: in their order they can be taken by 2 or by 3",
	} {
		spins, err := Group(files(all))
		var got []string
		for _, s := range spins {
			got = append(got, s.Name)
		}
		if err != nil {
			got = []string{err.Error()}
		}
		if strings.Join(got, "|") != want || (err != nil) != errors.Is(err, ErrWhichSpin) {
			t.Errorf("%s: %s, want %s", all, strings.Join(got, "|"), want)
		}
	}
}

// What was taken for granted is said once, and what the person says goes before it.
func TestGroupSays(t *testing.T) {
	recs := files("h1 h2 h1 h3 h1,p12")
	spins, err := GroupAs(recs, []int{1, 2, 2, 1, 0})
	if err != nil || len(spins) != 3 || spins[0].Name != "h1, h3" || spins[2] != recs[4] {
		t.Fatalf("%v %v", spins, err)
	}
	if want := "taken for one spin: h1 with h3; h2 with h1"; !slices.Contains(spins[0].Notes, want) || len(recs[0].Notes) > 0 {
		t.Errorf("%q, want %q", spins[0].Notes, want)
	}
	if _, err := GroupAs(recs, []int{1, 2, 1, 2, 0}); err == nil || err.Error() != "h1, h1 are not of one spin: h1 is in more than one of them" {
		t.Errorf("%v", err)
	}
	spins, err = Group(recs[:4])
	if want := "taken for one spin by their order: h1 with h2; h1 with h3"; err != nil || !slices.Contains(spins[0].Notes, want) {
		t.Errorf("%v %v, want %q", spins, err, want)
	}
}
