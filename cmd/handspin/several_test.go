package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// twoChannels writes what a two-channel instrument would have recorded of the
// simulated spin: the columns named by keep, of t,h1,h2,h3,p12,p23.
func twoChannels(t *testing.T, dir, name, flags string, keep ...string) {
	t.Helper()
	rec, _ := record(t, flags)
	var out strings.Builder
	fmt.Fprintf(&out, "t_us,%s\n", strings.Join(keep, ","))
	for i, at := range rec.Time {
		if rec.Edge[i] {
			continue
		}
		cell := map[string]string{}
		for lead := range 3 {
			cell[fmt.Sprintf("h%d", lead+1)] = rec.Hall[i].String()[lead : lead+1]
		}
		for k := range 2 {
			cell[fmt.Sprintf("p%d%d", k+1, k+2)] = fmt.Sprint(rec.Columns[k].Value[i] - rec.Columns[k+1].Value[i])
		}
		fmt.Fprintf(&out, "%.0f", at*1e6)
		for _, k := range keep {
			out.WriteString("," + cell[k])
		}
		out.WriteString("\n")
	}
	if err := os.WriteFile(filepath.Join(dir, name), []byte(out.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestSeveralRecordings: four recordings of two channels each, every one at a
// speed of its own, have the clean wirings of one of all six leads, as files and
// through a settings file with another shape of names.
func TestSeveralRecordings(t *testing.T) {
	dir := t.TempDir()
	const motor = "--seed 5 --spacing 120 --sensor-order 132 --alignment 90 --skew 0,0,0 --rate 8000 --pushes "
	twoChannels(t, dir, "a.csv", motor+"4x12", "h1", "h2")
	twoChannels(t, dir, "b.csv", motor+"4x14", "h1", "h3")
	twoChannels(t, dir, "c.csv", motor+"3x15", "h1", "p12")
	twoChannels(t, dir, "d.csv", motor+"5x10", "h1", "p23")
	text, _ := simulate(t, motor+"4x12")
	want := answerOf(t, handspin(text, "rank", "-", "--format", "json").stdout).cleanOf()

	var files []string
	for _, name := range []string{"a", "b", "c", "d"} {
		files = append(files, filepath.Join(dir, name+".csv"))
	}
	settings := filepath.Join(dir, "motor.toml")
	var toml strings.Builder
	toml.WriteString("[leads]\np1 = \"yellow\"\n")
	for _, f := range files {
		fmt.Fprintf(&toml, "[[recording]]\nfile = %q\n", filepath.Base(f))
	}
	if err := os.WriteFile(settings, []byte(toml.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{files, {settings}} {
		got := handspin("", append([]string{"rank", "--format", "json"}, args...)...)
		r := answerOf(t, got.stdout)
		if r.Verdict != "ranked" || fmt.Sprint(r.cleanOf()) != fmt.Sprint(want) {
			t.Errorf("%v: %s %v, want ranked %v\n%s", args, r.Verdict, r.cleanOf(), want, got.stderr)
		}
	}
	got := handspin("", "rank", files[0], files[1], files[2])
	if !strings.Contains(got.stdout, "p23") || !strings.Contains(got.stdout, "More data") {
		t.Errorf("without the fourth recording:\n%s", got.stdout)
	}
}

// TestFilePerChannel: four spins seen by an instrument of two inputs, that counts each
// from the same moment and has a file for each input, have the clean wirings of one
// recording of all six leads: in the order of the spins, and in any with settings that
// number them. Another order is refused with the way to say it.
func TestFilePerChannel(t *testing.T) {
	dir := t.TempDir()
	const motor = "--seed 5 --spacing 120 --sensor-order 132 --alignment 90 --skew 0,0,0 --rate 8000 --pushes "
	text, _ := simulate(t, motor+"4x12")
	want := fmt.Sprint(answerOf(t, handspin(text, "rank", "-", "--format", "json").stdout).cleanOf())
	var files []string
	var toml string
	for k, push := range []string{"4x12", "4x14", "3x15", "5x10"} {
		for i, lead := range []string{"h1", []string{"h2", "h3", "p12", "p23"}[k]} {
			name := fmt.Sprintf("%d%d.csv", k, i)
			twoChannels(t, dir, name, motor+push, lead)
			files = append(files, filepath.Join(dir, name))
			// The last first.
			toml = fmt.Sprintf("[[recording]]\nfile = %q\nspin = %d\n", name, k+1) + toml
		}
	}
	settings := filepath.Join(dir, "motor.toml")
	if err := os.WriteFile(settings, []byte(toml), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{files, {settings}} {
		got := handspin("", append([]string{"rank", "--format", "json"}, args...)...)
		if r := answerOf(t, got.stdout); r.Verdict != "ranked" || fmt.Sprint(r.cleanOf()) != want {
			t.Errorf("%s %v, want ranked %s\n%s", r.Verdict, r.cleanOf(), want, got.stderr)
		}
	}
	files[1], files[2] = files[2], files[1]
	got := handspin("", append([]string{"rank"}, files...)...)
	if got.status != failed || !strings.Contains(got.stderr, "which files are of one spin cannot be told") || !strings.Contains(got.stderr, "spin = 1") {
		t.Errorf("%d %s", got.status, got.stderr)
	}
}

// TestChannelsOfOneInstrument: three files with one time column are one
// recording. The figures are those of an independent analysis of the same real
// recording (see testdata/README.md): 120.1 and 119.4 degrees.
func TestChannelsOfOneInstrument(t *testing.T) {
	const folder = "../../testdata/scope/"
	got := handspin("", "rank", folder+"chan1.csv.gz", folder+"chan2.csv.gz", folder+"chan3.csv.gz")
	for _, want := range []string{"120.1", "240.6", "p3 was recorded at 0.1"} {
		if !strings.Contains(got.stdout, want) {
			t.Errorf("%q is not in\n%s", want, got.stdout)
		}
	}
	pair := handspin("", "rank", folder+"drill-ch1.csv", folder+"drill-ch2.csv")
	if !strings.Contains(pair.stdout, "reference floats") {
		t.Errorf("a floating pair gives\n%s", pair.stdout)
	}
}

// TestInspectRealChannels holds every number of a real recording against an
// independent analysis of the same files (see testdata/README.md): 29.11 Hz, peaks
// of 0.999, 1.001 and 1.002 V once the tenth is seen, angles 0, -120.1 and +119.4
// degrees, fifth harmonic 2 to 4 %, flux linkage 37.7 to 38.3 mV s per mechanical
// radian of 7 pole pairs. They are given to a digit of the last place, hence the
// tolerances.
func TestInspectRealChannels(t *testing.T) {
	const folder = "../../testdata/scope/"
	got := handspin("", "inspect", "--format", "json", folder+"chan1.csv.gz", folder+"chan2.csv.gz", folder+"chan3.csv.gz")
	var n struct {
		Hz    struct{ Mean, Slowest, Fastest float64 } `json:"electrical_hz"`
		Peak  map[string]float64                       `json:"peak_v_at_mean"`
		Motor struct {
			Flux   float64 `json:"flux_linkage_wb"`
			Phases []struct {
				Angle     float64 `json:"angle_deg"`
				Harmonics map[string]float64
			}
		}
		Findings []struct{ Code, Lead string }
	}
	if err := json.Unmarshal([]byte(got.stdout), &n); err != nil {
		t.Fatal(err, got.stderr)
	}
	near := func(what string, got, want, tolerance float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tolerance) {
			t.Errorf("%s is %g, want %g within %g", what, got, want, tolerance)
		}
	}
	near("the frequency", n.Hz.Mean, 29.11, 0.02)
	if !(n.Hz.Slowest < n.Hz.Mean && n.Hz.Mean < n.Hz.Fastest) {
		t.Errorf("from %g to %g Hz", n.Hz.Slowest, n.Hz.Fastest)
	}
	for lead, want := range map[string]float64{"p1": 0.999, "p2": 1.001, "p3": 1.002} {
		near(lead, n.Peak[lead], want, 0.0015)
	}
	for k, want := range []float64{0, 120.1, 360 - 119.4} {
		near(fmt.Sprint("angle ", k+1), n.Motor.Phases[k].Angle, want, 0.15)
		near(fmt.Sprint("fifth ", k+1), n.Motor.Phases[k].Harmonics["5"], 0.03, 0.01)
	}
	near("7 times the flux linkage", 7*n.Motor.Flux, 0.0380, 0.0004)
	codes := fmt.Sprint(n.Findings)
	for _, want := range []string{"{phase-scale p3}", "{speed-steady }"} {
		if !strings.Contains(codes, want) {
			t.Errorf("%s is not in %s", want, codes)
		}
	}
	pair := handspin("", "inspect", "--format", "json", folder+"drill-ch1.csv", folder+"drill-ch2.csv")
	if !strings.Contains(pair.stdout, `"phase-reference"`) || strings.Contains(pair.stdout, `"repair"`) {
		t.Errorf("a floating pair gives\n%s", pair.stdout)
	}
}

// TestSettings: inspect takes slots, connection and the sensors' radius from the
// settings, a flag goes before them, and the command line's columns are for a
// recording without its own.
func TestSettings(t *testing.T) {
	dir := t.TempDir()
	data, err := filepath.Abs("../../testdata/two-channel")
	if err != nil {
		t.Fatal(err)
	}
	settings := filepath.Join(dir, "motor.toml")
	text := "\ufeff[motor]\npole_pairs = 7\nslots = 12\nconnection = \"delta\"\nsensor_radius_mm = 20\n"
	for name, columns := range map[string]string{"h1-h2": "", "h1-h3": "t=1:s,h1=2,h3=3", "h1-p12": "t=1:s,h1=2,p12=3:V", "h1-p23": "t=1:s,h1=2,p23=3:V"} {
		text += fmt.Sprintf("[[recording]]\nfile = %q\n", filepath.ToSlash(filepath.Join(data, name+".csv.gz")))
		if columns != "" {
			text += fmt.Sprintf("columns = %q\n", columns)
		}
	}
	if err := os.WriteFile(settings, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	own := handspin("", "inspect", settings, "--columns", "t=1:s,h1=2,h2=3")
	flags := handspin("", "inspect", settings, "--columns", "t=1:s,h1=2,h2=3", "--slots", "15", "--poles", "14", "--sensor-radius", "40")
	for _, c := range []struct {
		got  result
		want []string
	}{
		{own, []string{"12 slots and 14 poles", "0.16"}},
		{flags, []string{"15 slots and 14 poles", "0.32"}}, // twice 0.159 mm
	} {
		for _, want := range c.want {
			if !strings.Contains(strings.Join(strings.Fields(c.got.stdout), " "), want) {
				t.Errorf("%q is not in\n%s%s", want, c.got.stdout, c.got.stderr)
			}
		}
	}
	if got := handspin("", "inspect", settings, "--columns", "t=1:s,h1=2,h2=3", "--star-point"); got.status != misuse || !strings.Contains(got.stderr, "a delta has no star point") {
		t.Errorf("%d %s", got.status, got.stderr)
	}
}
