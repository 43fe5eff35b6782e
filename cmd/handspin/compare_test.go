package main

import (
	"encoding/json"
	"math"
	"regexp"
	"strings"
	"testing"
)

// TestCompare: the second motor has 0.62 times the flux and was spun the other
// way round; only the rotor differs, as far as the two tell.
func TestCompare(t *testing.T) {
	first, _ := simulate(t, "--seed 3 --flux 0.1 --reference neutral --pushes 4x12")
	second, _ := simulate(t, "--seed 3 --flux 0.062 --reference neutral --pushes 4x-13")
	files := []string{write(t, "a.csv", first), write(t, "b.csv", second)}
	got := handspin("", append([]string{"compare", "--format", "json"}, files...)...)
	var d struct {
		Schema, Verdict string
		Ratio           float64 `json:"flux_ratio"`
	}
	if err := json.Unmarshal([]byte(got.stdout), &d); err != nil {
		t.Fatal(err, got.stderr)
	}
	// The columns' gains are the same in both: 2 % is for the magnets.
	if d.Schema != "handspin.compare/1" || d.Verdict != "rotor" || math.Abs(d.Ratio/0.62-1) > 0.02 {
		t.Errorf("%+v\n%s", d, got.stdout)
	}
	text := handspin("", append([]string{"compare"}, files...)...).stdout
	if !strings.HasPrefix(text, "Winding is as it was; all phases give 38 % less than in the first") {
		t.Errorf("the text begins with\n%s", text)
	}
}

// TestCompareWords: what each change says, what it may be as well, and what is not known.
// Nothing is wider than a terminal, nor called unchanged that the two do not tell.
func TestCompareWords(t *testing.T) {
	const motor = "--seed 3 --flux 0.1 --pole-pairs 5 --pole-shift 0.3 --phase-order 123 --gain-error 0,0,0 --alignment 38 --sensor-error h1=1 --hysteresis 3 "
	const one, other, both = "--pushes 4x12 ", "--pushes 4x-13 ", "--back-and-forth 6x20 "
	const noise = "--noise 2 " // another recording
	const star, virtual = "--reference neutral ", "--reference virtual-star "
	for name, c := range map[string]struct {
		before, after string
		want, not     []string
	}{
		"nothing":         {one, one + noise, []string{"Nothing changed that a hand spin shows.", "within 0.8 % of the fundamental"}, []string{"not known"}},
		"the other way":   {one, other, []string{"Nothing changed of what these two recordings tell.", "moved together is not known", "may be none", "turned by hand both ways"}, []string{"that a hand spin shows."}},
		"both ways":       {both, both + noise, []string{"Nothing changed that a hand spin shows."}, []string{"not known"}},
		"one sensor":      {one, other + "--sensor-error h1=1,h2=12", []string{"sensor h2 moved by +12", "Further from sound: the sensors' places."}, []string{"sensors are as they were"}},
		"a little flux":   {one, one + "--flux 0.098", []string{"all phases give 2.0 % less", "by less flux or by another input setting", "another divider or input setting", "1.02 times"}, []string{"rotor is"}},
		"input":           {virtual + one, virtual + one + "--gain-error 0,0,-0.1", []string{"phase p3, or its input, gives 0.90 times", "its own probe or divider", "exchange p3 with another lead", "Further from sound: the phases' balance."}, []string{"sensors moved"}},
		"phase, repaired": {virtual + "--weak-phase p1=0.8,p2=1,p3=1 " + one, virtual + "--weak-phase p1=1,p2=1,p3=1 " + one, []string{"sensors are as they were; phase p1 gives 1.25 times", "p2 and p3 as they were", "Nearer to sound than in the first recording: the phases' balance."}, []string{"probe", "sensors moved"}},
		"board turned":    {one, one + "--alignment 98", []string{"all sensors moved together, by +60.0 degrees", "the second motor would turn rough and weak: handspin rank on the second"}, nil},
		"all inverted":    {one, one + "--inverted h1,h2,h3", []string{"all sensors are inverted, or moved together by half an electrical turn", "would run backward"}, []string{"rough"}},
		"ends exchanged":  {star + one, star + one + "--reversed-phase p2", []string{"sensors are as they were; phase p2 is the other way round than it was and gives 1.00 times what it gave, beside p1 and p3", "Further from sound: the phases' balance."}, []string{"degrees later", "probe"}},
		"leads":           {star + one, star + one + "--phase-order 213", []string{"leads were exchanged, most simply p1 and p2", "turned the same way in both"}, []string{"h2 and h3 moved"}},
	} {
		t.Run(name, func(t *testing.T) {
			first, _ := simulate(t, motor+c.before)
			second, _ := simulate(t, motor+c.after)
			got := handspin("", "compare", write(t, "a.csv", first), write(t, "b.csv", second)).stdout
			words := strings.Join(strings.Fields(got), " ")
			for _, want := range c.want {
				if !strings.Contains(words, want) {
					t.Errorf("without %q:\n%s", want, got)
				}
			}
			for _, not := range c.not {
				if strings.Contains(words, not) {
					t.Errorf("with %q:\n%s", not, got)
				}
			}
			for line := range strings.Lines(got) {
				if n := len([]rune(strings.TrimSuffix(line, "\n"))); n > 80 && !strings.Contains(line, "/") { // a path is not broken
					t.Errorf("%d columns: %s", n, line)
				}
			}
		})
	}
}

// TestCompareCounts: without volts the files' own units are compared, and where one file says
// them alone it is said that flux is not compared.
func TestCompareCounts(t *testing.T) {
	without := func(text string) string {
		return regexp.MustCompile(`(?m)^# volts_per_count:.*\n`).ReplaceAllString(text, "")
	}
	strong, _ := simulate(t, "--seed 3 --flux 0.1 --pushes 4x12")
	weak, _ := simulate(t, "--seed 3 --flux 0.08 --pushes 4x11")
	first, second := write(t, "first.csv", without(strong)), write(t, "second.csv", without(weak))
	for _, c := range []struct{ first, want string }{
		{first, "all phases give 20 % less"},
		{first, "Neither file says how many volts a unit of its phase columns is; they are taken to be alike."},
		{write(t, "volts.csv", strong), "The flux is not compared: only one of the recordings says how many volts"},
	} {
		got := handspin("", "compare", c.first, second)
		if !strings.Contains(strings.Join(strings.Fields(got.stdout), " "), c.want) {
			t.Errorf("without %q\n%s", c.want, got.stdout)
		}
	}
}

// TestCompareJSON: what the fields say of a rotor turned the other way, whose sensors'
// shift is known but for 12 degrees of hysteresis, twice 6.
func TestCompareJSON(t *testing.T) {
	first, _ := simulate(t, "--seed 3 --pole-pairs 5 --pushes 4x12")
	second, _ := simulate(t, "--seed 3 --pole-pairs 5 --pushes 4x-13")
	got := handspin("", "compare", "--format", "json", "--pole-pairs", "5", write(t, "a.csv", first), write(t, "b.csv", second))
	var d struct {
		Verdict string
		Frame   struct{ By string }
		Magnets struct {
			PolePairs int `json:"pole_pairs"`
			Changed   bool
		}
		Shared struct {
			Known bool
			Least float64 `json:"least_deg"`
			Most  float64 `json:"most_deg"`
		} `json:"sensors_together"`
		Exchanged []any `json:"leads_exchanged"`
		Opposite  bool  `json:"turned_the_other_way"`
		Soundness []struct{ Torque float64 }
	}
	if err := json.Unmarshal([]byte(got.stdout), &d); err != nil {
		t.Fatal(err, got.stderr)
	}
	if d.Verdict != "nothing" || d.Frame.By != "phases" || d.Magnets.PolePairs != 5 || d.Magnets.Changed || d.Shared.Known || !d.Opposite ||
		math.Abs(d.Shared.Most-d.Shared.Least-12) > 0.002 || d.Exchanged == nil || len(d.Soundness) != 2 {
		t.Errorf("%+v\n%s", d, got.stdout)
	}
}

// TestComparePattern: a magnet that came off weakens the flux and leaves its pattern: by
// the winding factors of its orders 7.0 and 6.7 % for 7 and 3 of 12/10 with one missing
// of ten, of a fundamental that fell to 0.9, and 2 and 1 % for 9 and 1; the line voltages
// leave out 3 and 9. A rotor against itself is no change.
func TestComparePattern(t *testing.T) {
	motor := "--seed 3 --pole-pairs 5 --slots 12 --reference neutral --pole-strength 0.005 --pushes 4x12"
	first, _ := simulate(t, motor)
	second, _ := simulate(t, motor+" --magnet 4=0")
	files := []string{write(t, "a.csv", first), write(t, "b.csv", second)}
	var d struct {
		Verdict string
		Uneven  [2]float64 `json:"magnets_uneven"`
	}
	compare := func(a, b string) {
		t.Helper()
		got := handspin("", "compare", "--format", "json", a, b)
		if err := json.Unmarshal([]byte(got.stdout), &d); err != nil {
			t.Fatal(err, got.stderr)
		}
	}
	compare(files[0], files[1])
	want := math.Hypot(0.070, 0.010) / 0.9
	// The third digit of the figures, and half a per cent that even magnets add.
	if d.Verdict != "rotor" || math.Abs(d.Uneven[1]-want) > 0.005 || d.Uneven[0] > 0.005 {
		t.Errorf("%+v, want %.4f", d, want)
	}
	again, _ := simulate(t, motor+" --noise 2")
	compare(files[0], write(t, "again.csv", again))
	if d.Verdict != "nothing" {
		t.Errorf("against itself: %+v", d)
	}
}

// TestCompareStopped: a sensor that died is a change whichever recording shows it, and
// whichever way the rotor was spun; the two others stay where they were.
func TestCompareStopped(t *testing.T) {
	sound, _ := simulate(t, "--seed 3 --pushes 4x12")
	dead, _ := simulate(t, "--seed 3 --pushes 4x-13 --stuck-low h2")
	still, _ := simulate(t, "--seed 3 --pushes 4x-12 --stuck-low h2")
	sooner, later := write(t, "sound.csv", sound), write(t, "dead.csv", dead)
	for _, c := range []struct{ first, second, want string }{
		{sooner, later, "Rotor and winding are as they were; sensor h2 no longer switches."},
		{later, sooner, "Rotor and winding are as they were; sensor h2 switches again."},
		{later, write(t, "still.csv", still), "Nothing changed"},
	} {
		got := handspin("", "compare", c.first, c.second)
		if !strings.HasPrefix(got.stdout, c.want) || got.status != done {
			t.Errorf("%s, want %s", got.stdout, c.want)
		}
		if c.first == later && c.second != sooner && !strings.Contains(got.stdout, "in both: h2 stayed low") {
			t.Errorf("a sensor dead in both is not named:\n%s", got.stdout)
		}
	}
}

// TestCompareRefuses: a copy shows no change, and where a rotor comes to rest is too coarse
// for one; several recordings of one motor by a settings file are as good as one.
func TestCompareRefuses(t *testing.T) {
	text, _ := simulate(t, "--seed 3")
	one, two := write(t, "one.csv", text), write(t, "two.csv", text)
	const shared = "../../testdata/"
	for _, c := range []struct{ first, second, want string }{
		{one, two, " hold the same recording\nhandspin: hint: a copy shows no change"},
		{one, shared + "rest.csv", "rest positions do not show what changed"},
	} {
		if got := handspin("", "compare", c.first, c.second); got.status != failed || got.stdout != "" || !strings.Contains(got.stderr, c.want) {
			t.Errorf("%d\n%s%s, want %s", got.status, got.stdout, got.stderr, c.want)
		}
	}
	if got := handspin("", "compare", shared+"two-channel/motor.toml", one); got.status != done || !strings.Contains(got.stdout, "one.csv") {
		t.Errorf("%d\n%s%s", got.status, got.stdout, got.stderr)
	}
}

// TestCompareNeedsMotors: what keeps a recording from being compared is said.
func TestCompareNeedsMotors(t *testing.T) {
	first, _ := simulate(t, "--seed 3")
	second, _ := simulate(t, "--seed 3 --open-phase p2")
	got := handspin("", "compare", write(t, "a.csv", first), write(t, "b.csv", second))
	if got.status != done || !strings.Contains(got.stdout, "does not tell all three phases") || !strings.Contains(got.stdout, "p2 carries no back-EMF") {
		t.Errorf("%d\n%s%s", got.status, got.stdout, got.stderr)
	}
}
