package present

import (
	"bytes"
	"strings"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/spin"
)

// sketched returns the answer about a synthetic motor, printed for a screen.
func sketched(t *testing.T, s Screen) (*Answer, string) {
	t.Helper()
	rec, _ := synth.Random(synth.Ordinary, 3).Record()
	a := &Answer{Recording: rec, Spin: spin.Analyse(rec, spin.Options{}), Screen: s, Verdict: commutation.Ranked}
	rec.Leads.Phase[1] = "a long name\x1b[31m of a lead"
	a.Ranking = commutation.Rank(a.Spin.Motor, a.Spin.Draws, commutation.Typical())
	var b bytes.Buffer
	if err := Text(&b, a, false); err != nil {
		t.Fatal(err)
	}
	return a, b.String()
}

// The sketch has six lanes of 60 columns; a sensor's is high from its rise to its
// fall, a wave's is highest where its back-EMF is, each to 2 columns: 12 degrees.
func TestSketch(t *testing.T) {
	a, text := sketched(t, Screen{Blocks: true})
	var lanes [][]rune
	for line := range strings.Lines(text) {
		if widest(line) > columns {
			t.Errorf("%d columns: %s", widest(line), line)
		}
		if strings.ContainsAny(line, "▁█") {
			lanes = append(lanes, []rune(strings.TrimSuffix(line, "\n"))[2+laneName:])
		}
	}
	if len(lanes) != 6 || strings.Contains(text, "\x1b") {
		t.Fatalf("%d lanes in\n%s", len(lanes), text)
	}
	for i := range 3 {
		top, sensor := 0.0, a.Spin.Motor.Sensors[i]
		for deg := range 360 {
			if a.Spin.Motor.EMF[i].At(float64(deg)) > a.Spin.Motor.EMF[i].At(top) {
				top = float64(deg)
			}
		}
		if k := int(top / 6); lanes[i][k] != '█' {
			t.Errorf("p%d is %c at its top, %.0f degrees", i+1, lanes[i][k], top)
		}
		for k, r := range lanes[3+i] {
			deg := float64(k)*6 + 3
			near := sensor.Level(deg-12) != sensor.Level(deg+12)
			if want := map[bool]rune{true: '█', false: '▁'}[sensor.Level(deg)]; !near && r != want {
				t.Errorf("h%d is %c at %.0f degrees, want %c", i+1, r, deg, want)
			}
		}
	}
}

// With colours the text is the same but for the codes, each of which is ended.
func TestColors(t *testing.T) {
	_, plain := sketched(t, Screen{Blocks: true})
	_, colored := sketched(t, Screen{Blocks: true, Color: true})
	if n := strings.Count(colored, "\x1b["); n != 2*strings.Count(colored, "\x1b[0m") || n < 14 {
		t.Errorf("%d codes", n)
	}
	for _, code := range []string{"0", bold + ";32", "32", "33", "34"} {
		colored = strings.ReplaceAll(colored, "\x1b["+code+"m", "")
	}
	if colored != plain {
		t.Errorf("got\n%s\nwant\n%s", colored, plain)
	}
	if _, text := sketched(t, Screen{}); strings.ContainsAny(text, "▁█\x1b") {
		t.Error("a sketch without being asked for")
	}
}
