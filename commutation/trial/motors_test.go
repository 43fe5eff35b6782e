package trial

import (
	"testing"

	"handspin/commutation"
)

// ideal returns a motor with sine back-EMFs 120 degrees apart and sensors of
// half a turn each, off by the given degrees from where six-step drive wants
// them.
func ideal(spacing float64, off [3]float64) commutation.Motor {
	first := map[float64]float64{120: 30, 60: 90}[spacing]
	var m commutation.Motor
	for i := range 3 {
		m.EMF[i] = commutation.Sine(1, 120*float64(i))
		rise := commutation.Wrap(first + spacing*float64(i) + off[i])
		m.Sensors[i] = commutation.Sensor{RiseDeg: rise, FallDeg: commutation.Wrap(rise + 180)}
	}
	return m
}

// person answers what a motor that does b seemed to do.
type person func(b commutation.Behaviour) commutation.Behaviour

func honest(b commutation.Behaviour) commutation.Behaviour { return b }

// play lets a planner and a person find the wiring for a controller that has
// table truth, and returns the trials. A wiring that the planner takes for solved
// and that is not runs on, which shows it: the person then says what it does.
// early is true where that happened.
func play(t *testing.T, p *Planner, truth table, answer person) (trials []Trial, last Advice, early bool) {
	t.Helper()
	for len(trials) < 50 {
		a, err := p.Next(nil, trials)
		if err != nil {
			t.Fatal(err)
		}
		does := truth.does[p.index(a.Try)]
		switch {
		case a.Solved && does == commutation.CleanForward:
			return trials, a, early
		case a.Solved:
			early = true
			trials = append(trials, Trial{Wiring: a.Try, Outcome: does})
		default:
			trials = append(trials, Trial{Wiring: a.Try, Outcome: answer(does)})
		}
	}
	t.Fatalf("%v is not found in %d trials: %v", truth.class, len(trials), trials)
	return nil, Advice{}, false
}

// serving returns the tables that can run the planner's motor.
func serving(p *Planner) []table {
	var out []table
	for _, t := range p.tables {
		if t.serves {
			out = append(out, t)
		}
	}
	return out
}
