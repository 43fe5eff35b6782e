package present

import (
	"io"
	"math"

	"handspin/commutation/difference"
	"handspin/commutation/spin"
)

// CompareSchema names the JSON form of a comparison.
const CompareSchema = "handspin.compare/1"

type compareDocument struct {
	Schema      string              `json:"schema"`
	Verdict     difference.Verdict  `json:"verdict"`
	FluxRatio   *float64            `json:"flux_ratio"`
	FluxRatioSD *float64            `json:"flux_ratio_sd"`
	Phases      []comparePhaseJSON  `json:"phases"`
	Sensors     []compareSensorJSON `json:"sensors"`
	Uneven      [2]*float64         `json:"magnets_uneven"`
	UnevenSD    [2]*float64         `json:"magnets_uneven_sd"`
	Magnets     compareMagnetsJSON  `json:"magnets"`
	Frame       compareFrameJSON    `json:"frame"`
	Shared      compareSharedJSON   `json:"sensors_together"`
	Exchanges   []compareLeadsJSON  `json:"leads_exchanged"`
	Sound       [2]compareSoundJSON `json:"soundness"`
	Steps       []compareStepJSON   `json:"steps"`
	TorqueRatio *float64            `json:"torque_per_ampere_ratio"`
	TorqueSD    *float64            `json:"torque_per_ampere_ratio_sd"`
	ByCounts    bool                `json:"flux_ratio_by_counts"`
	Kept        string              `json:"with_the_firsts_wiring,omitempty"`
	Opposite    bool                `json:"turned_the_other_way"`
	Doubted     [2]bool             `json:"doubted"`
	Clipped     bool                `json:"clipped"`
	Files       [2]string           `json:"files"`
}

type comparePhaseJSON struct {
	Lead    string   `json:"lead"`
	Ratio   *float64 `json:"amplitude_ratio"`
	RatioSD *float64 `json:"amplitude_ratio_sd"`
	Deg     *float64 `json:"angle_change_deg"`
	DegSD   *float64 `json:"angle_change_sd_deg"`
}

type compareSensorJSON struct {
	Lead    string   `json:"lead"`
	Deg     *float64 `json:"change_deg"`
	DegSD   *float64 `json:"change_sd_deg"`
	Stopped bool     `json:"stopped"`
	Started bool     `json:"started"`
}

// compareMagnetsJSON is the pattern over the turn of the shaft; untested says why it
// was not compared.
type compareMagnetsJSON struct {
	PolePairs int      `json:"pole_pairs,omitempty"`
	Pairs     *[2]int  `json:"other_pole_pairs,omitempty"`
	Change    *float64 `json:"change"`
	ChangeSD  *float64 `json:"change_sd"`
	Changed   bool     `json:"changed"`
	Untested  string   `json:"untested,omitempty"`
}

// compareFrameJSON is what angles and ratios of the phases are relative to; lead is the
// one that changed where the two others stand as they stood, by_input is true where a
// probe or divider would do the same.
type compareFrameJSON struct {
	By      difference.Stood `json:"by"`
	Lead    string           `json:"lead,omitempty"`
	ByInput bool             `json:"by_input"`
}

// compareSharedJSON is by how many degrees all sensors may have moved together, null
// where nothing is known of it, and for what it is not known better.
type compareSharedJSON struct {
	Known bool     `json:"known"`
	Ways  bool     `json:"for_hysteresis"`
	Late  bool     `json:"for_delay"`
	Least *float64 `json:"least_deg"`
	Most  *float64 `json:"most_deg"`
}

// compareLeadsJSON is an exchange: the leads of the second recording that are the first's
// p1 to p3 and h1 to h3.
type compareLeadsJSON struct {
	Phases   [3]string `json:"phases"`
	Halls    [3]string `json:"halls"`
	Opposite bool      `json:"turned_the_other_way"`
	OffDeg   *float64  `json:"sensors_off_deg"`
	Shared   *float64  `json:"sensors_together_deg"`
	Magnets  bool      `json:"magnets_changed"`
}

type compareSoundJSON struct {
	Unbalance   *float64 `json:"phases_unbalance"`
	UnbalanceSD *float64 `json:"phases_unbalance_sd"`
	WorstDeg    *float64 `json:"sensor_worst_deg"`
	WorstSD     *float64 `json:"sensor_worst_sd_deg"`
	ShiftDeg    *float64 `json:"sensors_shift_deg"`
	Torque      *float64 `json:"torque"`
	LeastTorque *float64 `json:"torque_least"`
}

// compareStepJSON is a step toward sound or away from it.
type compareStepJSON struct {
	Of     difference.Aspect `json:"of"`
	Better bool              `json:"better"`
}

// CompareJSON prints a comparison as one JSON document.
func CompareJSON(w io.Writer, c *Comparison) error {
	f := &c.Found
	d := compareDocument{
		Schema: CompareSchema, Verdict: f.Verdict, FluxRatio: known(f.FluxRatio.Value, 5), FluxRatioSD: significant(f.FluxRatio.SD),
		Uneven:      [2]*float64{known(f.Pattern.Uneven[0].Value, 5), known(f.Pattern.Uneven[1].Value, 5)},
		UnevenSD:    [2]*float64{significant(f.Pattern.Uneven[0].SD), significant(f.Pattern.Uneven[1].SD)},
		Magnets:     magnetsJSONOf(f.Pattern),
		Frame:       compareFrameJSON{By: f.Frame.By, ByInput: f.ByInput},
		Shared:      compareSharedJSON{f.SharedKnown(), f.OtherWay, f.Late, known(f.Shared[0], 3), known(f.Shared[1], 3)},
		Exchanges:   []compareLeadsJSON{},
		Sound:       [2]compareSoundJSON{soundJSON(f.Sound[0]), soundJSON(f.Sound[1])},
		Steps:       []compareStepJSON{},
		TorqueRatio: known(f.TorqueRatio.Value, 5), TorqueSD: significant(f.TorqueRatio.SD), ByCounts: f.ByCounts,
		Kept: string(f.Kept), Opposite: f.Opposite, Doubted: f.Doubted, Clipped: f.Clipped,
		Files: [2]string{c.First.Recording.Name, c.Second.Recording.Name},
	}
	if f.Frame.Lead >= 0 && f.Frame.By != "" {
		d.Frame.Lead = phaseKey(f.Frame.Lead)
	}
	for _, x := range f.Exchanges {
		d.Exchanges = append(d.Exchanges, leadsJSON(x))
	}
	for _, s := range f.Steps() {
		d.Steps = append(d.Steps, compareStepJSON(s))
	}
	for k := range 3 {
		d.Phases = append(d.Phases, comparePhaseJSON{phaseKey(k), known(f.PhaseRatio[k].Value, 5), significant(f.PhaseRatio[k].SD),
			known(f.PhaseDeg[k].Value, 3), significant(f.PhaseDeg[k].SD)})
		d.Sensors = append(d.Sensors, compareSensorJSON{hallKey(k), known(f.SensorDeg[k].Value, 3), significant(f.SensorDeg[k].SD), f.Stopped[k], f.Started[k]})
	}
	return writeJSON(w, d)
}

func magnetsJSONOf(p difference.Pattern) compareMagnetsJSON {
	out := compareMagnetsJSON{PolePairs: p.PolePairs, Change: known(p.Change.Value, 5), ChangeSD: significant(p.Change.SD), Changed: p.Changed}
	if p.OtherPairs() {
		out.Pairs = &p.Pairs
	}
	if p.Err != nil {
		out.Untested = p.Err.Error()
	}
	return out
}

func leadsJSON(x difference.Exchange) compareLeadsJSON {
	out := compareLeadsJSON{Opposite: x.Opposite, Magnets: x.Magnets, OffDeg: known(math.Abs(x.OffDeg), 3), Shared: known(x.SharedDeg, 3)}
	for k := range 3 {
		out.Phases[k], out.Halls[k] = phaseKey(x.Phases[k]), hallKey(x.Halls[k])
	}
	return out
}

func soundJSON(s difference.Soundness) compareSoundJSON {
	value := func(v spin.Value) (x, sd *float64) { return known(v.Value, 5), significant(v.SD) }
	out := compareSoundJSON{ShiftDeg: known(s.ShiftDeg, 3), Torque: known(s.Torque, 5), LeastTorque: known(s.LeastTorque, 5)}
	out.Unbalance, out.UnbalanceSD = value(s.Unbalance)
	out.WorstDeg, out.WorstSD = value(s.WorstDeg)
	return out
}
