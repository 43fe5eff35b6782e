package present

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"strings"
	"testing"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares text with the file in testdata. The files were read by a
// person when they were made.
func golden(t *testing.T, name, text string) {
	t.Helper()
	path := "testdata/" + name + ".golden"
	if *update {
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if text != string(want) {
		t.Errorf("%s differs:\n%s", name, text)
	}
}

// ideal is a sinusoidal motor with phases and sensors 120 degrees apart, timed
// for six-step drive, as the typical table drives it straight.
func ideal() commutation.Motor {
	var m commutation.Motor
	for i := range 3 {
		sin, cos := math.Sincos(float64(i) * 2 * math.Pi / 3)
		m.EMF[i] = commutation.Wave{{N: 1, Sin: cos, Cos: -sin}}
		rise := 120*float64(i) + 30
		m.Sensors[i] = commutation.Sensor{RiseDeg: commutation.Wrap(rise), FallDeg: commutation.Wrap(rise + 180)}
	}
	return m
}

// answer returns an answer about motor m with made-up measurements.
func answer(m commutation.Motor, findings ...commutation.Finding) *Answer {
	r := &spin.Result{
		Motor: m, Usable: true, Reliability: 1,
		PhaseOrder:   []int{0, 1, 2},
		FluxLinkage:  spin.Value{Value: 0.01994, SD: 0.00006},
		SpacingDeg:   120,
		TurnsForward: 43, TurnsBackward: 2.5,
		Findings: findings,
	}
	for i := range 3 {
		r.Phases[i] = spin.Phase{
			Known: true, AngleDeg: spin.Value{Value: 120 * float64(i), SD: 0.24},
			Amplitude: spin.Value{Value: 1 - 0.02*float64(i), SD: 0.001},
			Harmonics: map[int]float64{5: 0.05, 7: 0.031},
		}
		s := m.Sensors[i]
		r.Sensors[i] = spin.Sensor{
			Known: true, Placed: true,
			RiseDeg: spin.Value{Value: s.RiseDeg, SD: 0.02}, FallDeg: spin.Value{Value: s.FallDeg, SD: 0.31},
			ErrorDeg: float64(i) - 1, HysteresisDeg: spin.Value{Value: 0.4, SD: 0.1}, Edges: 86, Duty: 0.5,
		}
	}
	a := &Answer{
		Recording: &capture.Recording{
			Name: "motor.csv", Time: []float64{0, 3, 6}, BadRows: 2, PolePairs: 10,
			Damage: []*capture.SyntaxError{{Pos: capture.Position{File: "motor.csv", Line: 17, Column: 4}, Msg: "hall is empty"}},
			Leads:  capture.Leads{Phase: [3]string{"yellow", "", "blue"}, Hall: [3]string{"white", "gr|ey", "br\x1bown"}},
			Notes:  []string{"the sensors switch at 2.50 units of h1"},
		},
		Assumed: true, Spin: r,
		Ranking: commutation.Rank(m, nil, commutation.Typical()),
	}
	return a.decided()
}

func (a *Answer) decided() *Answer {
	a.Verdict, a.Confidence = commutation.Decide(a.Ranking, a.Spin.Usable, a.Spin.Reliability, a.Spin.Findings)
	return a
}

// without takes from an answer what a recording did not tell.
func without(a *Answer) *Answer {
	nan := spin.Value{Value: math.NaN(), SD: math.NaN()}
	a.Spin.Usable, a.Spin.PhaseOrder, a.Spin.FluxLinkage, a.Spin.SpacingDeg = false, nil, nan, math.NaN()
	a.Spin.Sensors[0] = spin.Sensor{Known: true}
	a.Spin.Sensors[1] = spin.Sensor{}
	a.Spin.Sensors[2].HysteresisDeg = nan
	a.Spin.Phases = [3]spin.Phase{{}, {Known: true, AngleDeg: nan, Amplitude: nan}, {Known: true, AngleDeg: spin.Value{Value: 70, SD: 80}}}
	a.Ranking = commutation.Ranking{Table: a.Ranking.Table}
	return a.decided()
}

var (
	stuck = commutation.Finding{Code: "sensor-stuck-low", Severity: commutation.Repair, Lead: "h2",
		Text: "h2 stayed low while the rotor turned", Hint: "check the pull-up and the wire of h2"}
	border = commutation.Finding{Code: "wiring-borderline", Severity: commutation.Data,
		Text: "which wirings run cleanly is 60 % sure only", Hint: "record a longer spin"}
	bounce = commutation.Finding{Code: "sensor-noisy", Severity: commutation.Note, Lead: "h1", Text: "h1 bounces"}
)

// answers are the cases that are printed, by name.
func answers() map[string]*Answer {
	inverted := ideal()
	s := &inverted.Sensors[1]
	s.RiseDeg, s.FallDeg = s.FallDeg, s.RiseDeg
	dead := answer(ideal(), bounce, stuck)
	dead.Spin.Sensors[1].Placed = false
	told := answer(ideal())
	told.Assumed = false
	return map[string]*Answer{
		"ranked":   answer(ideal(), bounce),
		"told":     told,
		"stuck":    dead,
		"inverted": answer(inverted),
		"border":   answer(ideal(), border),
		"unknown":  without(answer(ideal(), border, bounce)),
		"open": without(answer(ideal(), commutation.Finding{Code: "phase-open", Severity: commutation.Repair, Lead: "p3",
			Text: "p3 carries no back-EMF", Hint: "check p3"}, stuck)),
	}
}

// printed returns what a format makes of an answer.
func printed(t *testing.T, format func(io.Writer, *Answer, bool) error, a *Answer, all bool) string {
	t.Helper()
	var b bytes.Buffer
	if err := format(&b, a, all); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestText(t *testing.T) {
	for name, a := range answers() {
		golden(t, name, printed(t, Text, a, false))
	}
	golden(t, "ranked-all", printed(t, Text, answer(ideal()), true))
	golden(t, "border-all", printed(t, Text, answer(ideal(), border), true))
}

func TestOtherFormats(t *testing.T) {
	for _, name := range []string{"ranked", "stuck", "unknown", "inverted"} {
		a := answers()[name]
		golden(t, name+".md", printed(t, Markdown, a, false))
		golden(t, name+".csv", printed(t, CSV, a, true))
		golden(t, name+".json", printed(t, JSON, a, false))
	}
}

// TestNothingHarmful: what a terminal would obey comes from none of the formats.
func TestNothingHarmful(t *testing.T) {
	for name, a := range answers() {
		a.Recording.Name = "\x1b]0;\u202e\u009b\x7f\xff"
		a.Ranking.Table.Name = "\x1b\u2066"
		a.Recording.Notes = []string{"\u2028\x00"}
		for _, format := range []func(io.Writer, *Answer, bool) error{Text, Markdown, CSV, JSON} {
			text := printed(t, format, a, true)
			if i := strings.IndexFunc(strings.ReplaceAll(text, "\n", ""), unprintable); i >= 0 {
				t.Errorf("%s: %.200q", name, text[i:])
			}
		}
	}
}

// TestMarkdownColumns: a bar in a name does not make a column. The names have
// one bar, so each row of the list has the twelve of the table and no more that
// are not escaped.
func TestMarkdownColumns(t *testing.T) {
	rows := 0
	for line := range strings.Lines(printed(t, Markdown, answer(ideal()), true)) {
		if strings.HasPrefix(line, "| ") {
			rows++
			if n := strings.Count(strings.ReplaceAll(line, `\|`, ""), "|"); n != 12 {
				t.Errorf("%d bars: %s", n, line)
			}
		}
	}
	if rows != 37 {
		t.Errorf("%d rows", rows)
	}
}

// TestCSVAgainstReader: encoding/csv reads what CSV prints, and the numbers are
// those of the ranking to the four digits printed.
func TestCSVAgainstReader(t *testing.T) {
	a := answer(ideal())
	rows, err := csv.NewReader(strings.NewReader(printed(t, CSV, a, true))).ReadAll()
	if err != nil || len(rows) != 37 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	for i, j := range a.Ranking.Wirings {
		if row := rows[i+1]; row[9] != fmt.Sprintf("%.4f", j.Torque) || row[8] != string(j.Behaviour) || row[0] != "ranked" {
			t.Errorf("row %d is %q, want %+v", i+1, row, j)
		}
	}
}

// TestJSONKeys: the keys that other programs rely on are there, and what is not
// known is null or absent.
func TestJSONKeys(t *testing.T) {
	var full, bare map[string]any
	for name, into := range map[string]*map[string]any{"ranked": &full, "unknown": &bare} {
		if err := json.Unmarshal([]byte(printed(t, JSON, answers()[name], false)), into); err != nil {
			t.Fatal(err)
		}
	}
	at := func(doc any, path string) any {
		for key := range strings.SplitSeq(path, ".") {
			switch d := doc.(type) {
			case map[string]any:
				doc = d[key]
			case []any:
				doc = d[0]
			}
		}
		return doc
	}
	for _, path := range strings.Fields(`schema verdict confidence capture.file capture.rows capture.bad_rows capture.seconds
		capture.electrical_turns_forward capture.electrical_turns_backward controller.table controller.assumed
		controller.spacing_deg motor.phase_order motor.flux_linkage_wb motor.sensor_spacing_deg motor.phases.0.lead
		motor.phases.0.angle_deg motor.phases.0.angle_sd_deg motor.phases.0.amplitude motor.phases.0.harmonics.5
		motor.sensors.0.lead motor.sensors.0.rise_deg motor.sensors.0.fall_deg motor.sensors.0.sd_deg
		motor.sensors.0.error_deg motor.sensors.0.hysteresis_deg wirings.0.rank wirings.0.U wirings.0.V wirings.0.W
		wirings.0.HU wirings.0.HV wirings.0.HW wirings.0.invert wirings.0.behaviour wirings.0.torque wirings.0.torque_min
		wirings.0.confidence findings.0.code findings.0.severity findings.0.lead findings.0.text`) {
		if at(full, path) == nil {
			t.Errorf("no %s", path)
		}
	}
	for _, path := range strings.Fields(`motor.phase_order motor.flux_linkage_wb motor.sensor_spacing_deg
		motor.phases.0.angle_deg motor.phases.0.amplitude motor.sensors.0.rise_deg motor.sensors.0.sd_deg`) {
		if got := at(bare, path); got != nil {
			t.Errorf("%s is %v, but it is not known", path, got)
		}
	}
	if n := len(full["wirings"].([]any)); n != 36 {
		t.Errorf("%d wirings", n)
	}
	if n := len(bare["wirings"].([]any)); n != 0 {
		t.Errorf("%d wirings of a motor that is not known", n)
	}
}
