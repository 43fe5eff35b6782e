package board

import (
	"testing"

	"handspin/capture/line"
)

// tallied counts the lines of a text.
func tallied(text string) (t Tally) {
	var d Decoder
	d.Feed([]byte(text), func(l Line) { t.Take(&l) })
	return t
}

// edge is a row of an edge.
var edge = string(line.AppendRow(nil, line.Row{TimeUS: 10, Hall: 5, Edge: true})) + "\n"

// TestTallyOfCounters: what the board says it sent and what came, counted by hand.
func TestTallyOfCounters(t *testing.T) {
	for name, c := range map[string]struct {
		text                                        string
		lost, lostEdges, dropped, restarts, damaged int
	}{
		"nothing lost":         {"# sets: 0\n" + rows(0, 10) + "# sets: 10\n", 0, 0, 0, 0, 0},
		"three lost":           {"# sets: 5\n" + rows(0, 10) + "# sets: 18\n", 3, 0, 0, 0, 0},
		"begun in the middle":  {rows(0, 10) + "# sets: 1000\n" + rows(3360, 10) + "# sets: 1010\n", 0, 0, 0, 0, 0},
		"a report lost":        {"# sets: 0\n" + rows(0, 20) + "# sets: 20\n", 0, 0, 0, 0, 0},
		"edges":                {"# edges: 1\n" + edge + "# edges: 4\n", 0, 2, 0, 0, 0},
		"dropped by the board": {"# dropped: 3,1\n# dropped: 4,0\n", 0, 0, 8, 0, 0},
		"the board restarts":   {"# sets: 500\n# edges: 70\n" + header + rows(0, 10) + "# sets: 10\n# edges: 0\n", 0, 0, 0, 1, 0},
		"the count wraps":      {"# sets: 4294967290\n" + rows(0, 10) + "# sets: 4\n", 0, 0, 0, 0, 0},
		"a damaged count":      {summedHeader + summed("# sets: 0") + rows(0, 10) + "# sets: 90*5A\n" + rows(3360, 5) + summed("# sets: 15"), 0, 0, 0, 0, 1},
		"a torn count":         {summedHeader + summed("# sets: 0") + rows(0, 10) + "# sets: 1\n# dropped: 9,9\n" + rows(3360, 5) + summed("# sets: 15"), 0, 0, 0, 0, 2},
		"nonsense":             {"# sets: x\n# dropped: 1\n# dropped: 1,x\n# edges: -1\n", 0, 0, 0, 0, 4},
	} {
		got := tallied(c.text)
		if got.LostSets != c.lost || got.LostEdges != c.lostEdges || got.DroppedSets+got.DroppedEdges != c.dropped ||
			got.Restarts != c.restarts || got.Damaged != c.damaged {
			t.Errorf("%s: %+v", name, got)
		}
		if got.Lost() != c.lost+c.lostEdges+c.dropped {
			t.Errorf("%s: %d lost", name, got.Lost())
		}
	}
}

// TestTallyOfCadence: rows are 336 us apart.
func TestTallyOfCadence(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		gaps int
		us   int64
	}{
		"even":       {rows(0, 200), 0, 0},
		"wrapping":   {rows(1<<32-50*336, 200), 0, 0},
		"ten lost":   {rows(0, 100) + rows(110*336, 100), 1, 10 * 336},
		"one lost":   {rows(0, 100) + rows(101*336, 100), 0, 0}, // interrupts may delay one as much
		"restarted":  {rows(1e9, 100) + rows(0, 100), 0, 0},
		"the header": {rows(0, 100) + header + rows(200*336, 100), 0, 0},
	} {
		if got := tallied(c.text); got.Gaps != c.gaps || got.GapUS != c.us {
			t.Errorf("%s: %d gaps of %d us", name, got.Gaps, got.GapUS)
		}
	}
}
