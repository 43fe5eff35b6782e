package present

import (
	"io"

	"handspin/commutation"
)

type nextDocument struct {
	Schema        string             `json:"schema"`
	Try           *endsJSON          `json:"try"`
	Wiring        string             `json:"wiring,omitempty"`
	Chance        *float64           `json:"chance"`
	TablesLeft    int                `json:"tables_left"`
	Expected      *float64           `json:"expected_trials"`
	Worst         *int               `json:"worst_trials"`
	Solved        bool               `json:"solved"`
	Table         *tableJSON         `json:"table"`
	Trials        int                `json:"trials"`
	Exchange      [][2]string        `json:"exchange,omitempty"`
	OtherSpacing  *float64           `json:"other_spacing"`
	Contradicting []contradictedJSON `json:"contradicting"`
}

type endsJSON struct {
	U  string `json:"U"`
	V  string `json:"V"`
	W  string `json:"W"`
	HU string `json:"HU"`
	HV string `json:"HV"`
	HW string `json:"HW"`
}

// contradictedJSON is an answer that does not fit the likeliest table.
type contradictedJSON struct {
	Wiring   string                `json:"wiring"`
	Outcome  commutation.Behaviour `json:"outcome"`
	Expected commutation.Behaviour `json:"expected"`
}

type tableJSON struct {
	Class      string               `json:"class,omitempty"`
	SpacingDeg *float64             `json:"spacing_deg"`
	Confidence *float64             `json:"confidence,omitempty"`
	States     map[string]driveJSON `json:"states"`
}

type driveJSON struct {
	High string `json:"high"`
	Low  string `json:"low"`
}

// NextJSON prints n as one JSON document. The table is null until it is known.
func NextJSON(w io.Writer, n *Next) error {
	a := n.Advice
	d := nextDocument{
		Schema: "handspin.next/1", TablesLeft: a.Left, Solved: a.Solved, Trials: len(n.Trials),
		OtherSpacing: known(a.Unserved, 4), Contradicting: []contradictedJSON{},
	}
	if a.Left > 0 {
		d.Try, d.Wiring = newEndsJSON(a.Try), a.Try.Short()
		d.Chance, d.Expected, d.Worst = known(a.Chance, 4), known(a.Expected, 4), &a.Worst
		if len(n.Trials) > 0 {
			d.Exchange = exchanges(commutation.Swaps(n.Trials[len(n.Trials)-1].Wiring, a.Try))
		}
	}
	if a.Solved || a.Left == 0 {
		d.Table = newTableJSON(a.Table)
		sureness := sure(a.Confidence)
		d.Table.Class, d.Table.Confidence = a.Class.String(), &sureness
	}
	for _, m := range a.Misfits {
		d.Contradicting = append(d.Contradicting, contradictedJSON{m.Trial.Wiring.Short(), m.Trial.Outcome, m.Does})
	}
	return writeJSON(w, d)
}

func newEndsJSON(w commutation.Wiring) *endsJSON {
	e := keys(w)
	return &endsJSON{e[0], e[1], e[2], e[3], e[4], e[5]}
}

func newTableJSON(t commutation.DriveTable) *tableJSON {
	out := &tableJSON{SpacingDeg: known(t.SpacingDeg(), 0), States: map[string]driveJSON{}}
	for s := range commutation.State(8) {
		if d, ok := t.At(s); ok {
			out.States[s.String()] = driveJSON{d.High.String(), d.Low.String()}
		}
	}
	return out
}

func exchanges(swaps []commutation.Swap) [][2]string {
	out := [][2]string{}
	for _, s := range swaps {
		out = append(out, s.Ends())
	}
	return out
}
