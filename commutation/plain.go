package commutation

// Behaviours returns what motor m does with each wiring of [Wirings] from each
// of the tables, by table and wiring, without inverting a lead.
func Behaviours(m Motor, tables []DriveTable) [][]Behaviour {
	turn := newTurn(m)
	all := make([][]Behaviour, len(tables))
	for i, table := range tables {
		for _, w := range Wirings() {
			all[i] = append(all[i], turn.drive(w.steps(table)).behaviour())
		}
	}
	return all
}
