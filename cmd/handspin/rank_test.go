package main

import (
	"fmt"
	"strings"
	"testing"

	"handspin/capture/csvfile"
	"handspin/capture/open"
)

// TestSpunBackward: the same recording, said to be of a rotor turned backward,
// has forward and reverse exchanged and nothing else.
func TestSpunBackward(t *testing.T) {
	swap := strings.NewReplacer("clean-forward", "clean-reverse", "clean-reverse", "clean-forward")
	forward := answerOf(t, handspin("", "demo", "--format", "json").stdout).cleanOf()
	backward := answerOf(t, handspin("", "demo", "--format", "json", "--spun", "backward").stdout).cleanOf()
	if len(forward) != 6 || len(backward) != 6 {
		t.Fatalf("%d and %d clean wirings", len(forward), len(backward))
	}
	for wiring, behaviour := range forward {
		if backward[wiring] != swap.Replace(behaviour) {
			t.Errorf("%s: %s, spun backward %s", wiring, behaviour, backward[wiring])
		}
	}
}

// TestController: the built-in table by name and the same table from a file give
// the same list, and only a table that nobody named counts as assumed.
func TestController(t *testing.T) {
	file := write(t, "t.csv", "state,high,low\n101,U,V\n100,U,W\n110,V,W\n010,V,U\n011,W,U\n001,W,V\n")
	lists := map[string]string{}
	for _, args := range [][]string{{}, {"--controller", "typical"}, {"--controller", file}} {
		got := handspin("", append([]string{"demo", "--format", "csv", "--all"}, args...)...)
		lists[got.stdout] = got.stdout
		text := handspin("", append([]string{"demo"}, args...)...).stdout
		if assumed := strings.Contains(text, "is assumed"); assumed != (len(args) == 0) {
			t.Errorf("%q: assumed %v", args, assumed)
		}
	}
	if len(lists) != 1 {
		t.Errorf("%d different lists", len(lists))
	}
}

// TestLeadNames: names on the command line stand before those in the file.
func TestLeadNames(t *testing.T) {
	got := handspin("", "demo", "--leads", "p1=red,h3=left")
	for _, want := range []string{"p1 (red)", "p2 (green)", "h3 (left)", "h1 (white)"} {
		if !strings.Contains(got.stdout, want) {
			t.Errorf("no %q in\n%s", want, got.stdout)
		}
	}
}

// TestPhaseFaultHasNoList: repairing a phase changes the back-EMF, so that no
// list from before may be shown.
func TestPhaseFaultHasNoList(t *testing.T) {
	for _, fault := range []string{"--reversed-phase p2", "--open-phase p3"} {
		text, _ := simulate(t, fault)
		got := handspin(text, "rank", "-", "--format", "csv", "--all")
		if strings.Count(got.stdout, "\n") != 1 || !strings.HasPrefix(got.stderr, "handspin: Repair first") {
			t.Errorf("%s: %s%s", fault, got.stdout, got.stderr)
		}
	}
}

// TestTextFits: no line of any answer is wider than the terminal, and the
// answer is on its first 24 lines.
func TestTextFits(t *testing.T) {
	for _, flags := range []string{"--seed 3", "--stuck-low h2", "--inverted h2", "--spacing 60", "--reversed-phase p1", "--turns 0.5", "--kind reversing", "--flux 0"} {
		text, _ := simulate(t, flags+" --leads p1=yellow,p2=green,p3=blue,h1=white,h2=grey,h3=brown")
		got := handspin(text, "rank", "-", "--all")
		for line := range strings.Lines(got.stdout) {
			if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 80 {
				t.Errorf("%s: %d columns: %s", flags, n, line)
			}
		}
	}
	lines := strings.Split(handspin("", "rank", "../../testdata/demo.csv.gz").stdout, "\n")
	if first := strings.Join(lines[:24], "\n"); !strings.Contains(first, "Trap:") {
		t.Errorf("the first screen is\n%s", first)
	}
}

// BenchmarkRank is the whole job, from the text of a recording to the answer, at
// 20 thousand, 200 thousand and 2 million rows: the demo's recording once, ten
// and a hundred times over, its rotor at rest where one begins anew.
func BenchmarkRank(b *testing.B) {
	for _, times := range []int{1, 10, 100} {
		b.Run(fmt.Sprintf("%d", times), func(b *testing.B) {
			text, rows := repeated(b, times)
			b.ReportAllocs()
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				if got := handspin(text, "rank", "-"); got.status != done {
					b.Fatal(got.stderr)
				}
			}
			b.ReportMetric(float64(rows), "rows")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(rows), "ns/row")
		})
	}
}

// repeated returns the text of the demo's recording so many times over.
func repeated(b *testing.B, times int) (text string, rows int) {
	rec, err := open.Path("../../testdata/demo.csv.gz", nil, csvfile.Options{})
	if err != nil {
		b.Fatal(err)
	}
	long := *rec
	length := rec.Seconds() + 0.001
	for k := 1; k < times; k++ {
		for _, t := range rec.Time {
			long.Time = append(long.Time, t+float64(k)*length)
		}
		long.Hall = append(long.Hall, rec.Hall...)
		long.Edge = append(long.Edge, rec.Edge...)
		for c := range rec.Columns {
			long.Columns[c].Value = append(long.Columns[c].Value, rec.Columns[c].Value[:rec.Rows()]...)
		}
	}
	var out strings.Builder
	if err := csvfile.Write(&out, &long); err != nil {
		b.Fatal(err)
	}
	return out.String(), long.Rows()
}
