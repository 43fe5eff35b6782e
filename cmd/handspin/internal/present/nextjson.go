package present

import (
	"io"

	"handspin/commutation"
	"handspin/commutation/trial"
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
	Check         *endsJSON          `json:"check"`
	Table         *tableJSON         `json:"table"`
	Candidates    []candidateJSON    `json:"candidates"`
	Separating    *string            `json:"separating_state"`
	Trials        int                `json:"trials"`
	Exchange      [][2]string        `json:"exchange,omitempty"`
	Repeated      int                `json:"repeated_trials,omitempty"`
	OtherSpacing  *float64           `json:"other_spacing"`
	NoTable       *float64           `json:"no_table"`
	Contradicting []contradictedJSON `json:"contradicting"`
	Misread       []string           `json:"misread"`
}

// candidateJSON is a table that the controller may have.
type candidateJSON struct {
	Class      string  `json:"class"`
	Confidence float64 `json:"confidence"`
	Runs       bool    `json:"runs_motor"`
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

// NextJSON prints n as one JSON document. The table is null until it is known, and
// check where there is nothing to check. other_spacing is the probability that no
// wiring would do but for no_table, that of a controller with no known table.
func NextJSON(w io.Writer, n *Next) error {
	a := n.Advice
	d := nextDocument{
		Schema: "handspin.next/1", TablesLeft: a.Left, Solved: a.Solved, Trials: len(n.Trials), Repeated: n.Repeated,
		OtherSpacing: known(a.Unserved-a.NoTable, 4), NoTable: known(a.NoTable, 4), Contradicting: []contradictedJSON{}, Misread: []string{},
	}
	if a.Left > 0 {
		d.Try, d.Wiring = newEndsJSON(a.Try), a.Try.Short()
		d.Chance, d.Expected, d.Worst = known(a.Chance, 4), known(a.Expected, 4), &a.Worst
		if last, ok := n.last(); ok {
			d.Exchange = exchanges(commutation.Swaps(last.Wiring, a.Try))
		}
	}
	if a.Proven && a.Chance < trial.Sure {
		d.Check = newEndsJSON(a.Check)
	}
	d.tables(n)
	for _, m := range a.Misfits {
		d.Contradicting = append(d.Contradicting, contradictedJSON{m.Trial.Wiring.Short(), m.Trial.Outcome, m.Does})
	}
	for _, r := range a.Misread {
		d.Misread = append(d.Misread, r.String())
	}
	return writeJSON(w, d)
}

// tables fills in what is known of the controller's table.
func (d *nextDocument) tables(n *Next) {
	a := n.Advice
	if n.Known() {
		sureness := sure(a.Tables[0].Probability)
		d.Table = newTableJSON(a.Tables[0].Table)
		d.Table.Class, d.Table.Confidence = a.Tables[0].Class.String(), &sureness
	}
	d.Candidates = []candidateJSON{}
	for _, c := range a.Tables {
		d.Candidates = append(d.Candidates, candidateJSON{c.Class.String(), sure(c.Probability), c.Serves})
	}
	if state := a.Telling.String(); a.Differ {
		d.Separating = &state
	}
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
