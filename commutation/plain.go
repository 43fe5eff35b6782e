package commutation

// Forecast is what a motor does with a wiring, as far as is known.
type Forecast struct {
	// Behaviour is that of the estimated motor.
	Behaviour Behaviour
	// Odds has the probability of each behaviour.
	Odds map[Behaviour]float64
}

// Forecasts returns what motor m does with each wiring of [Wirings] from each of
// the tables, by table and wiring, without inverting a lead. draws are motors
// drawn from the distribution of the estimate m; without any the odds rest on
// the model's own error.
func Forecasts(m Motor, draws []Motor, tables []DriveTable) [][]Forecast {
	j := judge{turn: newTurn(m)}
	for _, draw := range draws {
		j.draws = append(j.draws, newTurn(draw))
	}
	// Many wirings and tables drive the same leads in the same states.
	known := map[steps]Forecast{}
	all := make([][]Forecast, len(tables))
	for i, table := range tables {
		for _, w := range Wirings() {
			s := w.steps(table)
			f, ok := known[s]
			if !ok {
				f = j.forecast(s)
				known[s] = f
			}
			all[i] = append(all[i], f)
		}
	}
	return all
}

func (j judge) forecast(s steps) Forecast {
	torques := make([]torque, len(j.draws))
	for i, t := range j.draws {
		torques[i] = t.drive(s)
	}
	d := newDoubt(j.turn.drive(s), torques)
	f := Forecast{d.at.behaviour(), map[Behaviour]float64{}}
	for _, b := range behaviours {
		f.Odds[b] = max(d.probability(b), 0)
	}
	return f
}
