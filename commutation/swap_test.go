package commutation

import "testing"

func TestSwaps(t *testing.T) {
	// Carrying the exchanges out gives the wiring wanted; three leads need no
	// exchange, one or two (permutations of three have that many inversions at
	// most when any two may be exchanged).
	for _, from := range Wirings() {
		for _, to := range Wirings() {
			list := Swaps(from, to)
			got, phases, halls := from, 0, 0
			for _, s := range list {
				leads := &got.Phase
				phases++
				if s.Hall {
					leads = &got.Hall
					phases--
					halls++
				}
				leads[s.A], leads[s.B] = leads[s.B], leads[s.A]
			}
			if got != to || phases != needed(from.Phase, to.Phase) || halls != needed(from.Hall, to.Hall) {
				t.Fatalf("from %v to %v by %v: %v", from, to, list, got)
			}
		}
	}
}

// needed returns 0 where all leads are in place, 1 where one is and 2 where none.
func needed(a, b [3]int) int {
	inPlace := 0
	for i := range a {
		if a[i] == b[i] {
			inPlace++
		}
	}
	return map[int]int{3: 0, 1: 1, 0: 2}[inPlace]
}

func TestNearest(t *testing.T) {
	// With the reference table straight is clean forward; exchanging U and V
	// has to be undone by one exchange of two phases (or two of Halls and more).
	clean := Rank(motor120(), nil, Typical()).Clean()
	from := straight()
	from.Phase = [3]int{1, 0, 2}
	j, list, ok := Nearest(from, clean[:3])
	if !ok || j.Wiring != straight() || len(list) != 1 || list[0].String() != "U and V" {
		t.Errorf("%v by %v", j.Wiring, list)
	}
	from = straight()
	from.Hall = [3]int{0, 2, 1}
	if _, list, _ = Nearest(from, clean[:3]); len(list) != 1 || list[0].String() != "HV and HW" {
		t.Errorf("by %v", list)
	}
	if _, _, ok := Nearest(from, nil); ok {
		t.Error("found one in an empty list")
	}
}

func TestReverseByTwoSwaps(t *testing.T) {
	// Common practice: exchange two phase leads and the matching two Hall leads.
	r := Rank(motor120(), nil, Typical())
	clean := r.Clean()
	for _, forward := range clean[:3] {
		_, list, _ := Nearest(forward.Wiring, clean[3:])
		if len(list) != 2 || list[0].Hall || !list[1].Hall {
			t.Errorf("%v is reversed by %v", forward.Wiring, list)
		}
	}
}

func TestShortWiring(t *testing.T) {
	for _, w := range Wirings() {
		if got, err := ParseWiring(w.Short()); err != nil || got != w {
			t.Errorf("%v: %v %v", w, got, err)
		}
	}
	for _, text := range []string{"", "p1p2p3", "p1p2p2/h1h2h3", "h1h2h3/p1p2p3", "p1p2p3/h1h2h3 ", "p1p2p4/h1h2h3"} {
		if w, err := ParseWiring(text); err == nil {
			t.Errorf("%q is read as %v", text, w)
		}
	}
}
