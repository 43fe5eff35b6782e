package present

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin"
)

// Schema names the JSON form of an answer.
const Schema = "handspin.rank/1"

type document struct {
	Schema     string                `json:"schema"`
	Verdict    commutation.Verdict   `json:"verdict"`
	Confidence float64               `json:"confidence"`
	Capture    captureJSON           `json:"capture"`
	Controller controllerJSON        `json:"controller"`
	Leads      map[string]string     `json:"leads,omitempty"`
	Motor      motorJSON             `json:"motor"`
	Wirings    []wiringJSON          `json:"wirings"`
	Findings   []commutation.Finding `json:"findings"`
}

type captureJSON struct {
	File          string   `json:"file"`
	Rows          int      `json:"rows"`
	BadRows       int      `json:"bad_rows"`
	Seconds       *float64 `json:"seconds"`
	TurnsForward  *float64 `json:"electrical_turns_forward"`
	TurnsBackward *float64 `json:"electrical_turns_backward"`
	RestPositions int      `json:"rest_positions,omitempty"`
	PolePairs     int      `json:"pole_pairs,omitempty"`
	Notes         []string `json:"notes,omitempty"`
	Damage        []string `json:"damage,omitempty"`
}

type controllerJSON struct {
	Table      string   `json:"table"`
	Assumed    bool     `json:"assumed"`
	SpacingDeg *float64 `json:"spacing_deg"`
}

type motorJSON struct {
	PhaseOrder    []string     `json:"phase_order,omitempty"`
	FluxLinkage   *float64     `json:"flux_linkage_wb"`
	FluxLinkageSD *float64     `json:"flux_linkage_sd_wb"`
	SensorSpacing *float64     `json:"sensor_spacing_deg"`
	Phases        []phaseJSON  `json:"phases"`
	Sensors       []sensorJSON `json:"sensors"`
}

type phaseJSON struct {
	Lead        string              `json:"lead"`
	AngleDeg    *float64            `json:"angle_deg"`
	AngleSD     *float64            `json:"angle_sd_deg"`
	Amplitude   *float64            `json:"amplitude"`
	AmplitudeSD *float64            `json:"amplitude_sd"`
	Harmonics   map[string]*float64 `json:"harmonics,omitempty"`
}

type sensorJSON struct {
	Lead          string   `json:"lead"`
	RiseDeg       *float64 `json:"rise_deg"`
	FallDeg       *float64 `json:"fall_deg"`
	SD            *float64 `json:"sd_deg"`
	ErrorDeg      *float64 `json:"error_deg"`
	HysteresisDeg *float64 `json:"hysteresis_deg"`
	Duty          *float64 `json:"duty"`
	Edges         *int     `json:"edges"`
	Glitches      *int     `json:"glitches"`
}

type wiringJSON struct {
	Rank       int                   `json:"rank"`
	U          string                `json:"U"`
	V          string                `json:"V"`
	W          string                `json:"W"`
	HU         string                `json:"HU"`
	HV         string                `json:"HV"`
	HW         string                `json:"HW"`
	Invert     []string              `json:"invert"`
	Behaviour  commutation.Behaviour `json:"behaviour"`
	Torque     *float64              `json:"torque"`
	TorqueMin  *float64              `json:"torque_min"`
	Confidence float64               `json:"confidence"`
}

// JSON prints a as one JSON document. It always lists all wirings that there
// are. Numbers that are not known are null.
func JSON(w io.Writer, a *Answer, _ bool) error { return writeJSON(w, newDocument(a)) }

// writeJSON prints a document so that a terminal takes no harm.
func writeJSON(w io.Writer, d any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	if err := enc.Encode(d); err != nil {
		return err
	}
	_, err := io.WriteString(w, escapeUnprintable(b.String()))
	return err
}

// escapeUnprintable replaces what a terminal might obey by JSON's escapes. Such
// characters can only be within strings, and they keep their meaning.
func escapeUnprintable(text string) string {
	var b strings.Builder
	for _, r := range text {
		switch {
		case r == '\n' || !unprintable(r):
			b.WriteRune(r)
		case r > 0xffff:
			r -= 0x10000 // a surrogate pair, RFC 8259 section 7
			fmt.Fprintf(&b, `\u%04x\u%04x`, 0xd800+r>>10, 0xdc00+r&0x3ff)
		default:
			fmt.Fprintf(&b, `\u%04x`, r)
		}
	}
	return b.String()
}

func newDocument(a *Answer) document {
	r := a.Recording
	d := document{
		Schema: Schema, Verdict: a.Verdict, Confidence: sure(a.Confidence),
		Capture: captureJSON{
			File: r.Name, Rows: r.Rows(), BadRows: r.BadRows, Seconds: known(r.Seconds(), 6),
			TurnsForward: known(a.Spin.TurnsForward, 2), TurnsBackward: known(a.Spin.TurnsBackward, 2),
			PolePairs: r.PolePairs, Notes: r.Notes,
		},
		Controller: controllerJSON{a.Ranking.Table.Name, a.Assumed, known(a.Ranking.Table.SpacingDeg(), 0)},
		Leads:      leadNames(r.Leads),
		Motor:      newMotorJSON(a.Spin),
		Wirings:    []wiringJSON{},
		Findings:   append([]commutation.Finding{}, a.findings()...),
	}
	if a.AtRest {
		d.atRest()
	}
	for _, damage := range r.Damage {
		d.Capture.Damage = append(d.Capture.Damage, damage.Error())
	}
	for _, j := range a.Ranking.Wirings {
		d.Wirings = append(d.Wirings, newWiringJSON(j))
	}
	return d
}

// atRest takes out what rest positions do not tell.
func (d *document) atRest() {
	d.Capture.RestPositions = d.Capture.Rows
	d.Capture.Seconds, d.Capture.TurnsForward, d.Capture.TurnsBackward = nil, nil, nil
	for i := range d.Motor.Sensors {
		d.Motor.Sensors[i].Edges, d.Motor.Sensors[i].Glitches = nil, nil
	}
}

// known returns x rounded, nil where it is not a number.
func known(x float64, digits int) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	x = round(x, digits)
	return &x
}

// knownAngle returns an angle rounded to the thousandth of a degree and kept
// below 360, nil where it is not a number.
func knownAngle(deg float64) *float64 {
	x := known(deg, 3)
	if x != nil && *x >= 360 {
		*x = 0
	}
	return x
}

func round(x float64, digits int) float64 {
	p := math.Pow10(digits)
	if r := math.Round(x*p) / p; !math.IsInf(r, 0) && !math.IsNaN(r) {
		return r + 0 // -0 + 0 is 0
	}
	return x
}

// significant rounds x to four significant digits, nil where it is not a number.
func significant(x float64) *float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return known(x, 0)
	}
	return known(x, 3-int(math.Floor(math.Log10(math.Abs(x)))))
}

func leadNames(l capture.Leads) map[string]string {
	names := map[string]string{}
	for i := range 3 {
		if l.Phase[i] != "" {
			names[phaseKey(i)] = l.Phase[i]
		}
		if l.Hall[i] != "" {
			names[hallKey(i)] = l.Hall[i]
		}
	}
	return names
}

func newMotorJSON(s *spin.Result) motorJSON {
	m := motorJSON{
		FluxLinkage:   significant(s.FluxLinkage.Value),
		FluxLinkageSD: significant(s.FluxLinkage.SD),
		SensorSpacing: known(s.SpacingDeg, 1),
	}
	for _, i := range s.PhaseOrder {
		m.PhaseOrder = append(m.PhaseOrder, phaseKey(i))
	}
	for i, p := range s.Phases {
		m.Phases = append(m.Phases, newPhaseJSON(i, p))
	}
	for i, h := range s.Sensors {
		m.Sensors = append(m.Sensors, newSensorJSON(i, h, s.ZeroSD))
	}
	return m
}

func newPhaseJSON(i int, p spin.Phase) phaseJSON {
	out := phaseJSON{Lead: phaseKey(i)}
	if !p.Known {
		return out
	}
	out.AngleDeg, out.AngleSD = knownAngle(p.AngleDeg.Value), significant(p.AngleDeg.SD)
	out.Amplitude, out.AmplitudeSD = known(p.Amplitude.Value, 5), significant(p.Amplitude.SD)
	for n, h := range p.Harmonics {
		if out.Harmonics == nil {
			out.Harmonics = map[string]*float64{}
		}
		out.Harmonics[fmt.Sprint(n)] = known(h, 5)
	}
	return out
}

func newSensorJSON(i int, s spin.Sensor, zeroSD float64) sensorJSON {
	out := sensorJSON{Lead: hallKey(i)}
	if !s.Known {
		return out
	}
	out.Edges, out.Glitches = &s.Edges, &s.Glitches
	if s.Placed {
		out.RiseDeg, out.FallDeg = knownAngle(s.RiseDeg.Value), knownAngle(s.FallDeg.Value)
		out.SD = significant(math.Hypot(max(s.RiseDeg.SD, s.FallDeg.SD), zeroSD))
		out.ErrorDeg = known(s.ErrorDeg, 3)
		out.HysteresisDeg = known(s.HysteresisDeg.Value, 3)
		out.Duty = known(s.Duty, 4)
	}
	return out
}

func newWiringJSON(j commutation.Judged) wiringJSON {
	w := j.Wiring
	out := wiringJSON{
		Rank: j.Rank,
		U:    phaseKey(w.Phase[0]), V: phaseKey(w.Phase[1]), W: phaseKey(w.Phase[2]),
		HU: hallKey(w.Hall[0]), HV: hallKey(w.Hall[1]), HW: hallKey(w.Hall[2]),
		Invert: []string{}, Behaviour: j.Behaviour,
		Torque: known(j.Torque, 4), TorqueMin: known(j.TorqueMin, 4), Confidence: sure(j.Confidence),
	}
	for i, inverted := range w.Invert {
		if inverted {
			out.Invert = append(out.Invert, hallKey(i))
		}
	}
	return out
}
