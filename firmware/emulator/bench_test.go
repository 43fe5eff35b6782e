package emulator_test

import (
	"bytes"
	"math"
	"sort"
	"strconv"
	"strings"
	"testing"

	"handspin/capture"
	"handspin/capture/line"
	"handspin/firmware/emulator"
)

// turning is a rotor at a steady speed, as the board's pins see it.
type turning struct {
	script emulator.Script
	hz     float64
	edges  []edge
}

// edge is a change of the Hall lines, in microseconds from the reset.
type edge struct {
	us     float64
	levels capture.Levels
}

// The phase inputs in millivolts: half of the supply, and a swing that leaves
// room at both ends.
const biasMV, swingMV = 2500, 1500

// Microseconds between the points of a wave; the board's first rows come later
// than firstEdge, when it has started.
const pointUS, firstEdgeUS = 200, 20000

// states are the six states of sensors 120 degrees apart, in their order.
var states = [6]capture.Levels{5, 4, 6, 2, 3, 1}

// turn turns a rotor with edges at uneven times, so that they fall on every phase
// of whatever the board repeats.
func turn(seconds, hz float64) *turning {
	w := &turning{hz: hz}
	end := seconds * 1e6
	for us := 0.0; us <= end; us += pointUS {
		w.script.Wave(us, [3]float64{w.at(us, 0), w.at(us, 1), w.at(us, 2)})
	}
	us := float64(firstEdgeUS)
	for k := 0; us < end-firstEdgeUS; k++ {
		w.hall(us, states[k%6])
		us += 1e6 / (6 * hz) * (1 + 0.1*math.Sin(float64(k)*1.7))
	}
	w.script.End(end)
	return w
}

func (w *turning) hall(us float64, levels capture.Levels) {
	w.script.Hall(us, levels)
	w.edges = append(w.edges, edge{us, levels})
}

// at is the wave of a phase input, in millivolts.
func (w *turning) at(us float64, lead int) float64 {
	return biasMV + swingMV*math.Sin(2*math.Pi*(w.hz*us/1e6-float64(lead)/3))
}

// between is the wave as the emulator has it: straight between the points.
func (w *turning) between(us float64, lead int) float64 {
	before := math.Floor(us/pointUS) * pointUS
	share := (us - before) / pointUS
	return w.at(before, lead)*(1-share) + w.at(before+pointUS, lead)*share
}

// recorded is what the board sent.
type recorded struct {
	header map[string]string
	sets   []line.Row
	edges  []line.Row
	// lines are the header lines in their order.
	lines []string
	// dropped are the sets and edges that the board says it dropped, reports how
	// often it said so.
	dropped [2]int
	reports int
	// start is when the board's clock began, in microseconds.
	start float64
	emulator.Counts
}

// record runs the board. The end of the script cuts its last line.
func record(t *testing.T, s *emulator.Script, opt emulator.Options) *recorded {
	t.Helper()
	sent, counts := emulator.Run(t, s, opt)
	r := &recorded{header: map[string]string{}, Counts: counts, start: float64(counts["clock_start"]) / 16}
	sent = sent[:bytes.LastIndexByte(sent, '\n')+1]
	for text := range bytes.Lines(sent) {
		r.take(t, bytes.TrimSuffix(text, []byte("\n")))
	}
	return r
}

func (r *recorded) take(t *testing.T, text []byte) {
	t.Helper()
	if _, _, ok := line.ParseHeader(text); ok {
		data, status := line.Strip(text)
		if status != line.Good {
			t.Errorf("%q has no sum or a wrong one", text)
		}
		key, value, _ := line.ParseHeader(data)
		r.header[key] = value
		r.lines = append(r.lines, string(data))
		if key == "dropped" {
			r.reports++
			for i, n := range numbers(t, value) {
				r.dropped[i] += int(n)
			}
		}
		return
	}
	if string(text) == line.Names {
		return
	}
	row, err := line.ParseRow(text)
	switch {
	case err != nil:
		t.Errorf("%q: %v", text, err)
	case row.Edge:
		r.edges = append(r.edges, row)
	default:
		r.sets = append(r.sets, row)
	}
}

func numbers(t *testing.T, text string) []float64 {
	t.Helper()
	var out []float64
	for part := range strings.SplitSeq(text, ",") {
		v, err := strconv.ParseFloat(part, 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, v)
	}
	return out
}

// compareEdges compares the edges with those of the pins, and returns how late
// they are stamped on average, in microseconds.
func (r *recorded) compareEdges(t *testing.T, want []edge) (lagUS float64) {
	t.Helper()
	if len(r.edges) != len(want)+1 {
		t.Fatalf("%d edges for %d, the first being the levels at the start", len(r.edges), len(want))
	}
	for i, e := range r.edges[1:] {
		// The counter wraps, and the difference with it.
		late := float64(int32(e.TimeUS-uint32(int64(want[i].us)))) + math.Floor(want[i].us) - want[i].us + r.start
		if e.Hall != want[i].levels || late < 0 || late > 10 {
			t.Errorf("edge %d to %s at %.3f us is %s, %.2f us late", i, want[i].levels, want[i].us, e.Hall, late)
		}
		lagUS += late / float64(len(want))
	}
	return lagUS
}

// errorsOf returns the difference of each lead's sums from the true wave at the
// times that the header names, in counts of one conversion, as a root mean square.
// Summed sets are setUS apart.
func (r *recorded) errorsOf(t *testing.T, w *turning, sets int, setUS float64) (rms [3]float64) {
	t.Helper()
	skew := numbers(t, r.header["skew_us"])
	for _, row := range r.sets {
		for lead, sum := range row.Phase {
			var want float64
			for k := range sets {
				us := float64(row.TimeUS) + r.start + skew[lead] + (float64(k)-float64(sets-1)/2)*setUS
				want += w.between(us, lead) * 1024 / 5000
			}
			// A conversion rounds down, half a count on average.
			d := (float64(sum) - want + 0.5*float64(sets)) / float64(sets)
			rms[lead] += d * d / float64(len(r.sets))
		}
	}
	for i := range rms {
		rms[i] = math.Sqrt(rms[i])
	}
	return rms
}

// levelsAt returns the levels after the last edge of the board before a time.
func (r *recorded) levelsAt(us uint32) capture.Levels {
	n := sort.Search(len(r.edges), func(i int) bool { return r.edges[i].TimeUS > us })
	return r.edges[n-1].Hall
}
