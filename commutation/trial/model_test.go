package trial

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"handspin/commutation"
)

func TestAnswersAreAProbability(t *testing.T) {
	shares := 0.0
	for _, who := range judges {
		shares += who.share
		for is, answers := range who.answers {
			sum := 0.0
			for answer, p := range answers {
				sum += p
				// Only weak and clean are taken for one another more often than not.
				if turns := is != commutation.Stall && is != commutation.Fault; p <= 0 || p > answers[is] && !turns {
					t.Errorf("%s is taken for %s with probability %g", is, answer, p)
				}
			}
			if math.Abs(sum-1) > 1e-12 || len(answers) != 6 {
				t.Errorf("%s: %d answers sum to %g", is, len(answers), sum)
			}
		}
	}
	if math.Abs(shares-1) > 1e-12 {
		t.Errorf("the judges sum to %g", shares)
	}
}

func TestUntabledIsAProbability(t *testing.T) {
	sum := 0.0
	for _, b := range Outcomes[:6] {
		sum += untabled[b]
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("the answers sum to %g", sum)
	}
	// A reading is one of six drives, right or wrong.
	r := Reading{0b101, commutation.Drive{High: commutation.U, Low: commutation.V}}
	typical := commutation.Typical()
	right := r.likelihood(typical)
	r.Drive.Low = commutation.W
	if sum := right + 5*r.likelihood(typical); math.Abs(sum-1) > 1e-12 {
		t.Errorf("the readings sum to %g", sum)
	}
}

func TestPriorCountsThePublishedTables(t *testing.T) {
	files, err := filepath.Glob("../../testdata/tables/*.csv")
	if err != nil || len(files) == 0 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	counts := map[commutation.Class]float64{}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		table, err := commutation.ParseTable(file, text)
		if err != nil {
			t.Fatal(err)
		}
		c, ok := commutation.Classify(table)
		if !ok {
			t.Errorf("%s is of no class", file)
		}
		counts[c]++
	}
	for _, c := range commutation.Classes() {
		if Published(c) != counts[c]+1 || Equal(c) != 1 {
			t.Errorf("%v: weight %g for %g tables", c, Published(c), counts[c])
		}
	}
}

func TestMeasuredLikelihood(t *testing.T) {
	// Against the density of a normal distribution with the covariance written
	// out and inverted by gonum.
	s := current
	x := []float64{1.2, 0, 4, 0.9}
	is := []commutation.Behaviour{commutation.CleanForward, commutation.Stall, commutation.WeakReverse, commutation.CleanReverse}
	var logs, means []float64
	for i, v := range x {
		if v > 0 {
			logs, means = append(logs, math.Log(v)), append(means, s.typical+s.of[is[i]])
		}
	}
	cov := mat.NewSymDense(3, nil)
	for i := range 3 {
		for j := range i + 1 {
			cov.SetSym(i, j, s.spread*s.spread)
		}
		cov.SetSym(i, i, s.spread*s.spread+s.sd*s.sd)
	}
	var chol mat.Cholesky
	if !chol.Factorize(cov) {
		t.Fatal("no covariance")
	}
	d := mat.NewVecDense(3, nil)
	for i := range logs {
		d.SetVec(i, logs[i]-means[i])
	}
	var solved mat.VecDense
	if err := chol.SolveVecTo(&solved, d); err != nil {
		t.Fatal(err)
	}
	want := math.Exp(-mat.Dot(d, &solved)/2) / math.Sqrt(math.Pow(2*math.Pi, 3)*chol.Det())
	if got := s.likelihood(x, is); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("got %g, want %g", got, want)
	}
	if got := s.likelihood([]float64{0, 0}, is[:2]); got != 1 {
		t.Errorf("without a measurement: %g", got)
	}
}

func TestParseTrial(t *testing.T) {
	got, err := Parse(" p1p3p2/h2h1h3=weak-reverse, 4.2A ,900 rpm")
	want := Trial{Wiring: commutation.Wiring{Phase: [3]int{0, 2, 1}, Hall: [3]int{1, 0, 2}}, Outcome: commutation.WeakReverse, Amps: 4.2, RPM: 900}
	if err != nil || got != want {
		t.Errorf("%+v %v", got, err)
	}
	if capitals, err := Parse("P1P3P2/H2H1H3=Weak-Reverse,4.2a,900RPM"); err != nil || capitals != want {
		t.Errorf("capitals: %+v %v", capitals, err)
	}
	for text, says := range map[string]string{
		"p1p2p3/h1h2h3=stall,4,2A":       "decimals follow a point",
		"p1p2p3/h1h2h3":                  "not of the form WIRING=OUTCOME",
		"p1p2/h1h2h3=stall":              "each once",
		"p1p2p3/h1h2h3=good":             "not one of clean-forward, clean-reverse",
		"p1p2p3/h1h2h3=stall,4":          "neither the unit",
		"p1p2p3/h1h2h3=stall,4A,5A":      "second value",
		"p1p2p3/h1h2h3=stall,0A":         "not a positive number",
		"p1p2p3/h1h2h3=stall,-1rpm":      "not a positive number",
		"p1p2p3/h1h2h3=stall,NaNA":       "not a positive number",
		strings.Repeat("x", 1000) + "=y": "wiring \"xxx",
	} {
		if _, err := Parse(text); err == nil || !strings.Contains(err.Error(), says) || len(err.Error()) > 200 {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestParseReading(t *testing.T) {
	for _, text := range []string{"101=U+V-", "101=u+v-", "101=V-U+", "101=U+V-W0", "101=W0U+V-"} {
		r, err := ParseReading(text)
		if err != nil || r.String() != "101=U+V-" {
			t.Errorf("%s: %v %v", text, r, err)
		}
	}
	for _, text := range []string{"", "101", "10=U+V-", "101=U+", "101=U+U-", "101=U+V+", "101=U+V-W+", "101=U+V-U0", "101=A+B-", "101=U+V-W", "101=U?V-"} {
		if r, err := ParseReading(text); err == nil {
			t.Errorf("%q is read as %v", text, r)
		}
	}
}
