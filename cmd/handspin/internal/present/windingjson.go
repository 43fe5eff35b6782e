package present

import (
	"fmt"
	"io"
	"math"
	"math/cmplx"
	"strings"

	"handspin/commutation/winding"
)

type windingJSON struct {
	Schema            string             `json:"schema"`
	Slots             int                `json:"slots"`
	Poles             int                `json:"poles"`
	WindingFactor     *float64           `json:"winding_factor"`
	PitchFactor       *float64           `json:"pitch_factor"`
	DistributionFac   *float64           `json:"distribution_factor"`
	Harmonics         map[string]float64 `json:"harmonic_winding_factors"`
	CoilSpanDeg       *float64           `json:"coil_span_deg"`
	SlotsPerPolePhase *float64           `json:"slots_per_pole_and_phase"`
	Cogging           int                `json:"cogging_per_turn"`
	Pull              bool               `json:"sideways_pull"`
	Layout            string             `json:"layout"`
	Letters           string             `json:"letters"`
	PhaseOrder        []string           `json:"phase_order"`
	Given             *givenJSON         `json:"given,omitempty"`
	Sensors           placesJSON         `json:"sensors"`
}

type givenJSON struct {
	Layout   string           `json:"layout"`
	Right    bool             `json:"right"`
	Balanced bool             `json:"balanced"`
	Wrong    []int            `json:"wrong_teeth"`
	Ties     int              `json:"other_layouts_as_near"`
	Phases   []givenPhaseJSON `json:"phases"`
}

type givenPhaseJSON struct {
	Phase string   `json:"phase"`
	Size  *float64 `json:"size"`
	Lags  *float64 `json:"lags_deg"`
}

type placesJSON struct {
	SpacingDeg    int             `json:"spacing_deg"`
	Openings      []placementJSON `json:"slot_openings"`
	TurnByTeeth   int             `json:"turn_by_teeth"`
	FirstDeg      *float64        `json:"first_mechanical_deg"`
	NeighboursDeg []float64       `json:"neighbours_mechanical_deg"`
}

type placementJSON struct {
	Openings      [3]string  `json:"openings"`
	MechanicalDeg [3]float64 `json:"mechanical_deg"`
	SpanDeg       float64    `json:"span_deg"`
	OffDeg        float64    `json:"off_deg"`
}

// WindingJSON prints w as one JSON document.
func WindingJSON(out io.Writer, w *Winding) error {
	l := w.Layout
	f := l.Factor(0, 1)
	d := windingJSON{
		Schema: "handspin.winding/1", Slots: l.Slots(), Poles: l.Poles(),
		WindingFactor: known(f.Winding, 6), PitchFactor: known(f.Pitch, 6), DistributionFac: known(f.Distribution, 6),
		Harmonics:   map[string]float64{},
		CoilSpanDeg: known(l.SpanDeg(), 4), SlotsPerPolePhase: known(l.SlotsPerPolePhase(), 6),
		Cogging: l.CoggingPerTurn(), Pull: l.Pulls(), Layout: l.String(), Letters: l.Letters(), PhaseOrder: strings.Split(w.order(), ", "),
		Sensors: w.placesJSON(),
	}
	for _, n := range []int{3, 5, 7} {
		d.Harmonics[fmt.Sprint(n)] = round(l.Factor(0, n).Winding, 6)
	}
	if w.Given != nil {
		d.Given = w.givenJSON()
	}
	return writeJSON(out, d)
}

func (w *Winding) givenJSON() *givenJSON {
	c := w.Check
	g := &givenJSON{Layout: w.Given.String(), Right: c.Right, Balanced: c.Balanced, Wrong: []int{}, Ties: c.Ties}
	for _, k := range c.Wrong {
		g.Wrong = append(g.Wrong, k+1)
	}
	for i, e := range c.EMF {
		p := givenPhaseJSON{Phase: winding.PhaseName(i), Size: known(cmplx.Abs(e), 6)}
		if cmplx.Abs(e) > 1e-6 {
			p.Lags = knownAngle(math.Mod(cmplx.Phase(e)*180/math.Pi+360, 360))
		}
		g.Phases = append(g.Phases, p)
	}
	return g
}

func (w *Winding) placesJSON() placesJSON {
	l := w.Layout
	d := placesJSON{SpacingDeg: w.SpacingDeg, Openings: []placementJSON{}, TurnByTeeth: l.TurnBy(), FirstDeg: known(l.BestDeg(), 4)}
	for _, p := range w.Placements {
		j := placementJSON{SpanDeg: round(p.SpanDeg, 4), OffDeg: round(p.OffDeg, 4)}
		for i, k := range p.Openings {
			j.Openings[i], j.MechanicalDeg[i] = l.OpeningName(k), round(p.MechanicalDeg[i], 4)
		}
		d.Openings = append(d.Openings, j)
	}
	for _, deg := range l.Spacings(w.SpacingDeg) {
		if len(d.NeighboursDeg) < shownPlacements {
			d.NeighboursDeg = append(d.NeighboursDeg, round(deg, 4))
		}
	}
	return d
}
