package present

import (
	"io"

	"handspin/commutation"
)

// InspectSchema names the JSON form of an inspection.
const InspectSchema = "handspin.inspect/1"

type inspectDocument struct {
	Schema     string                `json:"schema"`
	Verdict    commutation.Verdict   `json:"verdict"`
	Confidence float64               `json:"confidence"`
	Capture    captureJSON           `json:"capture"`
	Leads      map[string]string     `json:"leads,omitempty"`
	Motor      motorJSON             `json:"motor"`
	ShiftDeg   *float64              `json:"sensor_shift_deg"`
	Speed      *speedJSON            `json:"electrical_hz,omitempty"`
	PeakVolts  map[string]*float64   `json:"peak_v_at_mean,omitempty"`
	Constants  *constantsJSON        `json:"constants,omitempty"`
	Winding    *diagnosisJSON        `json:"winding,omitempty"`
	Rotor      *rotorJSON            `json:"rotor,omitempty"`
	Events     []eventsJSON          `json:"sensor_events"`
	Findings   []commutation.Finding `json:"findings"`
}

// eventsJSON are the times, in seconds from the first row, at which a sensor missed an
// edge or had one that no magnet made, and its levels where they were recorded.
type eventsJSON struct {
	Lead   string     `json:"lead"`
	Missed []*float64 `json:"missed_s"`
	Extra  []*float64 `json:"extra_s"`
	Low    *float64   `json:"low_level,omitempty"`
	High   *float64   `json:"high_level,omitempty"`
}

func newEventsJSON(n *Inspection) []eventsJSON {
	out := []eventsJSON{}
	times := func(all []float64) []*float64 {
		text := []*float64{}
		for _, t := range all {
			text = append(text, known(t, 6))
		}
		return text
	}
	for i, s := range n.Spin.Sensors {
		if !s.Known {
			continue
		}
		e := eventsJSON{Lead: hallKey(i), Missed: times(s.Missed), Extra: times(s.Extra)}
		if swing := n.Recording.Swings[i]; swing.Known {
			e.Low, e.High = significant(swing.Low), significant(swing.High)
		}
		out = append(out, e)
	}
	return out
}

type constantsJSON struct {
	KeLinePeak *float64 `json:"ke_line_peak_v_s_per_rad"`
	KeLineRMS  *float64 `json:"ke_line_rms_v_s_per_rad"`
	KvLinePeak *float64 `json:"kv_line_peak_rpm_per_v"`
	KvSixStep  *float64 `json:"kv_six_step_rpm_per_v"`
	KtSixStep  *float64 `json:"kt_six_step_nm_per_a"`
	KtSinePeak *float64 `json:"kt_sine_peak_nm_per_a"`
	KtSineRMS  *float64 `json:"kt_sine_rms_nm_per_a"`
}

// InspectJSON prints an inspection as one JSON document: that of rank without
// the controller and the wirings.
func InspectJSON(w io.Writer, n *Inspection) error {
	d := newDocument(n.Answer)
	out := inspectDocument{
		Schema: InspectSchema, Verdict: d.Verdict, Confidence: d.Confidence, Capture: d.Capture,
		Speed: newSpeedJSON(n.Answer), PeakVolts: peakVolts(n.Answer),
		Leads: d.Leads, Motor: d.Motor, ShiftDeg: known(n.Spin.ShiftDeg, 2), Winding: newDiagnosisJSON(n.Winding), Rotor: newRotorJSON(n), Events: newEventsJSON(n), Findings: d.Findings,
	}
	if c, ok := n.motorConstants(); ok {
		out.Constants = &constantsJSON{significant(c.KeLinePeak), significant(c.KeLineRMS), significant(c.KvLinePeak),
			significant(c.KvSixStep), significant(c.KtSixStep), significant(c.KtSinePeak), significant(c.KtSineRMS)}
	}
	return writeJSON(w, out)
}
