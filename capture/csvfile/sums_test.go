package csvfile

import (
	"strings"
	"testing"

	"handspin/capture/line"
)

// summed returns lines with the board's sum after each.
func summed(lines ...string) string {
	var text []byte
	for _, l := range lines {
		text = append(line.Append(text, []byte(l)), '\n')
	}
	return string(text)
}

// TestTornSums: once a line with a sum has come, one without is torn, and what is
// damaged is counted and described. What a person adds needs no sum.
func TestTornSums(t *testing.T) {
	names := line.Names + "\n"
	rows := summed("100,101,1,2,3", "400,101,,,", "500,100,1,2,3", "800,100,4,5,6")
	for name, c := range map[string]struct {
		text            string
		rows, bad, lost int
		damage          string
	}{
		"whole":            {summed("# skew_us: 1,2,3") + names + rows + summed("# dropped: 5,0"), 4, 0, 5, ""},
		"torn row":         {names + rows + "900,100,1,2,3\n", 4, 1, 0, "no sum"},
		"before the first": {names + "50,100,1,2,3\n" + rows, 5, 0, 0, ""},
		"none at all":      {names + "1,100,1,2,3\n2,100,1,2,3\n# dropped: 7,0\n", 2, 0, 7, ""},
		"torn counter":     {summed("# baud: 5") + names + rows + "# dropped: 7,0\n", 4, 1, 0, "dropped has no sum"},
		"bad counter":      {summed("# baud: 5") + names + rows + "# dropped: 7,0*00\n", 4, 1, 0, "sum is wrong"},
		"bad skew":         {summed("# baud: 5") + "# skew_us: 1,x,3*00\n" + names + rows, 4, 1, 0, "sum is wrong"},
		"a person's":       {summed("# baud: 5") + "# leads: p1=red\n# a: b*00\n" + names + rows, 4, 1, 0, "sum is wrong"},
		"a person's own":   {"# a: b*00\n" + names + rows, 4, 0, 0, ""},
		"sums of old":      {"# baud: 5\n" + names + rows + "# dropped: 7,0\n", 4, 0, 7, ""},
	} {
		rec, err := Parse([]byte(c.text), name, Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		var damage string
		if len(rec.Damage) > 0 {
			damage = rec.Damage[0].Error()
		}
		if rec.Rows() != c.rows || rec.BadRows != c.bad || rec.LostSets != c.lost || !strings.Contains(damage, c.damage) {
			t.Errorf("%s: %d rows, %d damaged (%s), %d lost", name, rec.Rows(), rec.BadRows, damage, rec.LostSets)
		}
	}
}
