package commutation

import (
	"testing"

	"pgregory.net/rapid"
)

func TestBehavioursAgreeWithRank(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := plausible(t)
		tables := []DriveTable{Typical(), OwnTable(m)}
		for i, does := range Behaviours(m, tables) {
			byWiring := map[Wiring]Behaviour{}
			for k, w := range Wirings() {
				byWiring[w] = does[k]
			}
			r := Rank(m, nil, tables[i])
			if r.Inverted != [3]bool{} {
				for _, b := range does {
					if b.Clean() {
						t.Fatal("clean without an inverted lead, but Rank inverts one")
					}
				}
				continue
			}
			for _, j := range r.Wirings {
				if byWiring[j.Wiring] != j.Behaviour {
					t.Fatalf("%v: %s and %s", j.Wiring, byWiring[j.Wiring], j.Behaviour)
				}
			}
		}
	})
}
