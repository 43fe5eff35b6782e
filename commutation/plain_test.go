package commutation

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestForecastsAgreeWithRank(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := plausible(t)
		tables := []DriveTable{Typical(), OwnTable(m)}
		draws := []Motor{plausible(t), plausible(t)}
		for i, does := range Forecasts(m, draws, tables) {
			byWiring := map[Wiring]Forecast{}
			for k, w := range Wirings() {
				byWiring[w] = does[k]
			}
			r := Rank(m, draws, tables[i])
			if r.Inverted != [3]bool{} {
				for _, f := range does {
					if f.Behaviour.Clean() {
						t.Fatal("clean without an inverted lead, but Rank inverts one")
					}
				}
				continue
			}
			for _, j := range r.Wirings {
				f := byWiring[j.Wiring]
				if f.Behaviour != j.Behaviour || math.Abs(f.Odds[f.Behaviour]-j.Confidence) > rounding {
					t.Fatalf("%v: %+v and %s %g", j.Wiring, f, j.Behaviour, j.Confidence)
				}
				sum := 0.0
				for _, p := range f.Odds {
					sum += p
				}
				if math.Abs(sum-1) > rounding {
					t.Fatalf("%v: the odds sum to %g", j.Wiring, sum)
				}
			}
		}
	})
}
