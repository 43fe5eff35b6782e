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
		a := p.Next(nil, trials)
		try := next(t, a)
		does := truth.does[p.index(try)]
		switch {
		case a.Solved && does == commutation.CleanForward:
			return trials, a, early
		case a.Solved:
			early = true
			trials = append(trials, Trial{Wiring: try, Outcome: does})
		default:
			trials = append(trials, Trial{Wiring: try, Outcome: answer(does)})
		}
	}
	t.Fatalf("%v is not found in %d trials: %v", truth.class, len(trials), trials)
	return nil, Advice{}, false
}

// next returns the wiring to power: where no table fits, one whose answer has to
// be looked at again.
func next(t *testing.T, a Advice) commutation.Wiring {
	t.Helper()
	switch {
	case a.Left > 0:
		return a.Try
	case len(a.Misfits) == 0:
		t.Fatalf("no table fits and no answer is doubted: %+v", a)
	}
	return a.Misfits[0].Trial.Wiring
}

// checked is play with a person who makes the check until the planner is sure.
// right is true where it is rightly so.
func checked(t *testing.T, p *Planner, truth table, answer person) (trials int, right bool) {
	t.Helper()
	var made []Trial
	for len(made) < 50 {
		a := p.Next(nil, made)
		try := next(t, a)
		switch {
		case a.Solved && a.Chance >= Sure:
			return len(made), truth.does[p.index(try)] == commutation.CleanForward
		case a.Solved:
			try = a.Check
		}
		made = append(made, Trial{Wiring: try, Outcome: answer(truth.does[p.index(try)])})
	}
	t.Fatalf("%v: not sure after %v", truth.class, made)
	return 0, false
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
