package present

import (
	"fmt"
	"io"
	"math"
	"strings"

	"handspin/capture"
	"handspin/commutation"
	"handspin/commutation/spin"
)

// Comparison is what two recordings tell of a difference.
type Comparison struct {
	First, Second *capture.Recording
	A, B          *spin.Result
	Found         spin.Comparison
}

// sentence is the one that matters.
func (c *Comparison) sentence() string {
	switch c.Found.Verdict {
	case spin.NothingChanged:
		return "Nothing changed that a hand spin shows."
	case spin.RotorChanged:
		return "Winding and sensors are as they were; " + c.rotor() + " than in the first recording."
	case spin.WindingChanged:
		return "The winding changed: the phases' back-EMFs stand otherwise against one another than in the first recording."
	case spin.SensorsChanged:
		return "Rotor and winding are as they were; " + c.sensors() + "."
	case spin.SeveralChanged:
		if c.Found.FluxChanged() {
			return "Several things changed: " + c.flux() + " than in the first recording, and the table shows the rest."
		}
		return "Several things changed, which the table shows."
	}
	return "One of the two recordings does not determine a whole motor, so there is nothing to compare."
}

// rotor says what the second rotor does otherwise.
func (c *Comparison) rotor() string {
	magnets := "the magnets differ from one another " + c.more()
	switch {
	case !c.Found.FluxChanged():
		return magnets
	case c.Found.MagnetsChanged():
		return "the rotor gives " + c.flux() + ", and " + magnets
	}
	return "the rotor gives " + c.flux()
}

// sensors says which sensors stopped or started, or that they moved.
func (c *Comparison) sensors() string {
	var parts []string
	for k := range 3 {
		switch {
		case c.Found.Stopped[k]:
			parts = append(parts, hallKey(k)+" no longer switches")
		case c.Found.Started[k]:
			parts = append(parts, hallKey(k)+" switches again")
		}
	}
	if parts != nil {
		return strings.Join(parts, ", ")
	}
	if i, j, ok := c.Found.Exchanged(); ok {
		return fmt.Sprintf("the sensors moved as if the leads of %s and %s were exchanged", hallKey(i), hallKey(j))
	}
	return "the sensors moved"
}

func (c *Comparison) flux() string {
	r := c.Found.FluxRatio.Value
	switch {
	case math.IsNaN(r):
		return "flux of unknown scale"
	case r < 1:
		return fmt.Sprintf("%.0f %% less flux", 100*(1-r))
	}
	return fmt.Sprintf("%.0f %% more flux", 100*(r-1))
}

// more says which of the two rotors is the less even.
func (c *Comparison) more() string {
	if c.Found.Uneven[1].Value > c.Found.Uneven[0].Value {
		return "more"
	}
	return "less"
}

// advice says what the change may be as well, or what shows more of it.
func (c *Comparison) advice() string {
	switch {
	case c.Found.Stopped != [3]bool{}:
		return "What to check first: handspin inspect says it of the second recording."
	case c.Found.Verdict != spin.RotorChanged:
		return ""
	case c.Found.MagnetsChanged():
		return "To see which magnet it is, give each recording to handspin inspect with --slots and --poles."
	}
	return rotorCaution
}

// rotorCaution says what the same factor in all phases may be as well.
const rotorCaution = "Magnets, their temperature and the air gap change all phases alike; so would the same number of turns taken from " +
	"or added to each phase, which the phases' resistances tell."

// CompareText prints a comparison for a terminal.
func CompareText(w io.Writer, c *Comparison) error {
	p := &page{}
	p.para(c.sentence())
	p.para(c.advice())
	if c.Found.Verdict == spin.CannotCompare {
		p.trouble(c.First.Name, c.A)
		p.trouble(c.Second.Name, c.B)
		return p.flush(w)
	}
	p.gap()
	if r := c.Found.FluxRatio; !math.IsNaN(r.Value) {
		p.para("Flux, second over first: " + precise(r.Value, r.SD))
	}
	if u := c.Found.Uneven; !math.IsNaN(u[0].Value) && !math.IsNaN(u[1].Value) {
		p.para(fmt.Sprintf("What uneven magnets add to the back-EMF: first %s %%, second %s %%", value(100*u[0].Value, 100*u[0].SD, 1), value(100*u[1].Value, 100*u[1].SD, 1)))
	}
	var rows [][]string
	for k := range 3 {
		rows = append(rows, []string{
			phaseKey(k), precise(c.Found.PhaseRatio[k].Value, c.Found.PhaseRatio[k].SD), moved(c.Found.PhaseDeg[k]), "",
			hallKey(k), c.sensorMoved(k),
		})
	}
	p.table(plainTable, []string{"phase", "of the mean", "angle, deg", "", "sensor", "moved, deg"}, rows)
	p.gap()
	p.para(fmt.Sprintf("First: %s, %.1f electrical turns. Second: %s, %.1f.", Clean(c.First.Name), c.A.TurnsForward+c.A.TurnsBackward,
		Clean(c.Second.Name), c.B.TurnsForward+c.B.TurnsBackward))
	p.limits()
	return p.flush(w)
}

// sensorMoved prints by how much the sensor of lead k moved, or that it stopped or started.
func (c *Comparison) sensorMoved(k int) string {
	switch {
	case c.Found.Stopped[k]:
		return "stopped"
	case c.Found.Started[k]:
		return "started"
	}
	return moved(c.Found.SensorDeg[k])
}

// moved prints a difference of angles with its sign.
func moved(v spin.Value) string {
	if math.IsNaN(v.Value) {
		return "?"
	}
	return signed(v.Value) + " ±" + fixed(math.Max(v.SD, 0.1), 1)
}

// trouble adds what keeps a recording from being compared.
func (p *page) trouble(name string, r *spin.Result) {
	for _, f := range r.Findings {
		if f.Severity != commutation.Note {
			p.item("  - ", Clean(name)+": "+Clean(f.Text)+"; "+Clean(f.Hint)+".")
		}
	}
}

// CompareSchema names the JSON form of a comparison.
const CompareSchema = "handspin.compare/1"

type compareDocument struct {
	Schema      string              `json:"schema"`
	Verdict     spin.Change         `json:"verdict"`
	FluxRatio   *float64            `json:"flux_ratio"`
	FluxRatioSD *float64            `json:"flux_ratio_sd"`
	Phases      []comparePhaseJSON  `json:"phases"`
	Sensors     []compareSensorJSON `json:"sensors"`
	Uneven      [2]*float64         `json:"magnets_uneven"`
	UnevenSD    [2]*float64         `json:"magnets_uneven_sd"`
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

// CompareJSON prints a comparison as one JSON document.
func CompareJSON(w io.Writer, c *Comparison) error {
	f := c.Found
	d := compareDocument{
		Schema: CompareSchema, Verdict: f.Verdict, FluxRatio: known(f.FluxRatio.Value, 5), FluxRatioSD: significant(f.FluxRatio.SD),
		Uneven:   [2]*float64{known(f.Uneven[0].Value, 5), known(f.Uneven[1].Value, 5)},
		UnevenSD: [2]*float64{significant(f.Uneven[0].SD), significant(f.Uneven[1].SD)},
		Files:    [2]string{c.First.Name, c.Second.Name},
	}
	for k := range 3 {
		d.Phases = append(d.Phases, comparePhaseJSON{phaseKey(k), known(f.PhaseRatio[k].Value, 5), significant(f.PhaseRatio[k].SD),
			known(f.PhaseDeg[k].Value, 3), significant(f.PhaseDeg[k].SD)})
		d.Sensors = append(d.Sensors, compareSensorJSON{hallKey(k), known(f.SensorDeg[k].Value, 3), significant(f.SensorDeg[k].SD), f.Stopped[k], f.Started[k]})
	}
	return writeJSON(w, d)
}
