package main

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

const (
	arcMotor   = "magnets --slots 12 --poles 14 --bore 50 --stack 15 --turns 20 --thickness 3 --grade N42 --slot-opening 2.5 --outside --arc 0.8 --gap 0.8"
	blockMotor = "magnets --slots 12 --poles 10 --bore 56.05 --stack 40 --turns 3 --thickness 3.175 --grade N42 --width 12.7 --iron 46.5"
)

// values returns what magnets computes, from its CSV form.
func values(t *testing.T, line string) map[string]float64 {
	t.Helper()
	got := handspin("", strings.Fields(line+" --format csv")...)
	rows, err := csv.NewReader(strings.NewReader(got.stdout)).ReadAll()
	if err != nil || got.status != done {
		t.Fatalf("%s: %v %+v", line, err, got)
	}
	all := map[string]float64{}
	for _, row := range rows[1:] {
		if all[row[0]], err = strconv.ParseFloat(row[1], 64); err != nil {
			t.Error(err)
		}
	}
	return all
}

func TestMagnetsValues(t *testing.T) {
	check := func(line string, wants map[string]float64, digits float64) {
		all := values(t, line)
		for key, want := range wants {
			if got, ok := all[key]; !ok || math.Abs(got-want) > digits*math.Abs(want) {
				t.Errorf("%s: %s is %g, want %g", line, key, got, want)
			}
		}
	}
	// By hand, step by step: three digits.
	check(arcMotor, map[string]float64{
		"carter": 1.0208, "gap_field_t": 0.995, "gap_fundamental_t": 1.205, "pole_flux_wb": 0.1291e-3,
		"series_turns": 80, "phase_flux_linkage_vs": 9.635e-3, "flux_linkage_vs": 9.635e-3,
		"ke_phase_peak_vs_per_rad": 67.4e-3, "winding_factor": 0.9330,
		"flux_linkage_low_vs": 0.6 * 9.635e-3, "flux_linkage_high_vs": 1.1 * 9.635e-3,
	}, 1e-3)
	check(arcMotor+" --paths 2", map[string]float64{"series_turns": 40}, 0)
	check(arcMotor+" --connection delta", map[string]float64{"phase_flux_linkage_vs": 9.635e-3, "flux_linkage_vs": 9.635e-3 / math.Sqrt(3)}, 1e-3)
	check(arcMotor+" --magnet-celsius 80", map[string]float64{"remanence_t": 1.30 * 0.928}, 1e-6) // 60 x 0.12 %
	// Flat blocks on a round core, 0.87 mm at the edges for 1.6 mm in the middle
	// (common practice), to 0.05 mm.
	check(blockMotor, map[string]float64{"clearance_middle_m": 1.6e-3}, 1e-6)
	check(blockMotor, map[string]float64{"clearance_edge_m": 0.87e-3}, 0.05/0.87)
	// 12 turns of 33 strands of AWG24, 0.08422 ohm/m: 12 x 0.1 x 0.08422/33 a phase.
	wire := " --wire AWG24 --strands 33 --mean-turn 100"
	check(blockMotor+wire, map[string]float64{"wire_diameter_m": 0.5106e-3, "phase_resistance_ohm": 3.0625e-3, "line_resistance_ohm": 6.125e-3}, 1e-3)
	check(blockMotor+wire+" --connection delta --celsius 80", map[string]float64{"line_resistance_ohm": 1.236 * 3.0625e-3 * 2 / 3}, 1e-3)
	check(arcMotor+" --measured 0.0085", map[string]float64{"measured_share": 0.0085 / 9.635e-3}, 1e-3)
}

func TestMagnetsText(t *testing.T) {
	for flags, want := range map[string]string{
		"":                   "Expect a flux linkage of 5.78 to 10.6 mV s, star phase, peak; 9.63 by the\nformula.\n",
		" --measured 0.0085": "Measured 8.5 mV s, 88 % of the 9.63 by the formula: within",
		" --measured 0.004":  "less than the formula's errors explain",
		" --measured 0.02":   "more than the formula's errors explain",
		" --connection delta --wire 0.5mm --mean-turn 60": "the star that equals it at the leads",
	} {
		got := handspin("", strings.Fields(arcMotor+flags)...)
		narrow(t, got.stdout)
		if got.status != done || !strings.Contains(strings.ReplaceAll(got.stdout, "\n", " "), strings.ReplaceAll(want, "\n", " ")) {
			t.Errorf("%s: %d no %q in\n%s%s", flags, got.status, want, got.stdout, got.stderr)
		}
	}
	got := handspin("", strings.Fields(blockMotor)...)
	narrow(t, got.stdout)
	for _, want := range []string{"clearance at the blocks' edges     0.848 mm", "change for 0.1 mm more gap         -2.15 %", "no slot openings were given"} {
		if !strings.Contains(got.stdout, want) {
			t.Errorf("no %q in\n%s", want, got.stdout)
		}
	}
}

func TestMagnetsForms(t *testing.T) {
	var d struct {
		Schema, Connection string
		Values             map[string]float64
		Expected           *bool `json:"measured_as_expected"`
		Notes              []string
	}
	text := handspin("", strings.Fields(arcMotor+" --measured 0.004 --connection delta --format json")...).stdout
	if err := json.Unmarshal([]byte(text), &d); err != nil {
		t.Fatal(err)
	}
	if d.Schema != "handspin.magnets/1" || d.Connection != "delta" || d.Expected == nil || !*d.Expected || len(d.Notes) == 0 || d.Values["gap_m"] != 0.8e-3 {
		t.Errorf("%+v", d)
	}
	md := handspin("", strings.Fields(arcMotor+" --format markdown")...).stdout
	if !strings.HasPrefix(md, "**Expect a flux linkage") || !strings.Contains(md, "| Kt, of DC amperes, six-step        | 112 mN m/A") {
		t.Error(md)
	}
}

func TestMagnetsMisuse(t *testing.T) {
	help := "handspin: hint: handspin magnets --help tells how to use it\n"
	const base = "magnets --slots 12 --poles 10 --bore 56.05 --stack 40 --turns 3 --thickness 3.175 "
	for line, want := range map[string]string{
		"magnets":            "handspin: required flag(s) \"bore\", \"poles\", \"slots\", \"stack\", \"thickness\", \"turns\" not set\n" + help,
		base + "--grade N42": "handspin: at least one of the flags in the group [arc width] is required\n" + help,
		base + "--arc 0.8":   "handspin: if any flags in the group [arc gap] are set they must all be set; missing [gap]\n" + help,
		base + "--grade N41": "handspin: invalid argument \"N41\" for \"--grade\" flag: \"N41\" is none of the grades N35 N38 N40 N42 N45 N48 N50 N52\n" + help,
		base + "--arc 1.2":   "handspin: invalid argument \"1.2\" for \"--arc\" flag: it is from 0.01 to 1\n" + help,
		base + "--gap x":     "handspin: invalid argument \"x\" for \"--gap\" flag: \"x\" is not a number\n" + help,
		base + "--turns 1.5": "handspin: invalid argument \"1.5\" for \"--turns\" flag: \"1.5\" is not a whole number from 1 to 1000000\n" + help,
		base + "--wire 24":   "handspin: invalid argument \"24\" for \"--wire\" flag: \"24\" is neither a gauge such as AWG24 nor a diameter from 0.01 to 10 mm\n" + help,
		base + "--grade N42 --width 12.7 --iron 52":              "handspin: the blocks touch the stator: 28.02 mm from its middle, 29.18 mm in the magnets' middle, 29.86 mm at their edges\n",
		base + "--grade N42 --width 18 --iron 40":                "handspin: 10 blocks 18 mm wide overlap: each spans 48.5 degrees\n", // 2 atan(9/20)
		base + "--grade N42 --arc 0.8 --gap 1 --paths 3":         "handspin: the 4 coils of a phase cannot make 3 equal paths\n",
		base + "--grade N42 --arc 0.8 --gap 1 --slot-opening 20": "handspin: a slot opening of 20 mm does not fit a slot pitch of 14.67 mm\n", // pi 56.05/12
	} {
		if got := handspin("", strings.Fields(line)...); got != (result{misuse, "", want}) {
			t.Errorf("%s: got %d\n%s%s", line, got.status, got.stdout, got.stderr)
		}
	}
	unbalanced := strings.Replace(arcMotor, "--poles 14", "--poles 12", 1)
	if got := handspin("", strings.Fields(unbalanced)...); got.status != failed || !strings.HasPrefix(got.stderr, "handspin: 12 slots and 12 poles: ") {
		t.Errorf("%+v", got)
	}
}

// TestMagnetsNeverPanics: whatever the sizes, there are numbers or an error.
func TestMagnetsNeverPanics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		args := strings.Fields("magnets --grade N42 --slot-opening 1 --outside=" + rapid.SampledFrom([]string{"true", "false"}).Draw(t, "outside"))
		for _, name := range []string{"slots", "poles", "turns"} {
			args = append(args, "--"+name, strconv.Itoa(rapid.IntRange(1, 60).Draw(t, name)))
		}
		sizes := []string{"bore", "stack", "thickness", "width", "iron"}
		if rapid.Bool().Draw(t, "arcs") {
			sizes = []string{"bore", "stack", "thickness", "gap", "arc"}
		}
		for _, name := range sizes {
			args = append(args, "--"+name, strconv.FormatFloat(math.Pow(10, rapid.Float64Range(-3, 4).Draw(t, name)), 'g', 4, 64))
		}
		format := rapid.SampledFrom([]string{"text", "markdown", "csv", "json"}).Draw(t, "format")
		got := handspin("", append(args, "--format", format)...)
		if got.status != done && got.status != failed && got.status != misuse || got.stdout+got.stderr == "" {
			t.Fatalf("%+v", got)
		}
		if strings.Contains(got.stdout, "NaN") || strings.Contains(got.stdout, "Inf") || strings.Contains(got.stdout, "null") {
			t.Fatal(got.stdout)
		}
	})
}
