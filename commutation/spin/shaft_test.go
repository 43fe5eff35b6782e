package spin

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation/winding"
)

// machined is a motor drawn at random, with the coils of a layout and the magnets
// given; its columns are against the star point.
func machined(t testing.TB, slots, poles int, seed uint64, magnets []synth.Magnet) synth.Config {
	t.Helper()
	m, err := winding.New(slots, poles)
	if err != nil {
		t.Fatal(err)
	}
	l := m.Layout()
	c := synth.Random(synth.Ordinary, seed)
	c.Motor.PolePairs = poles / 2
	c.Motor.Machine = &synth.Machine{ToothDeg: -l.AxisDeg(), Magnets: magnets}
	for _, coil := range l.Coils {
		c.Motor.Machine.Coils = append(c.Motor.Machine.Coils, synth.Coil{Phase: coil.Phase, Sense: coil.Sense})
	}
	c.Motor.Gain, c.FrontEnd.GainError = [3]float64{1, 1, 1}, [3]float64{}
	c.FrontEnd.NoiseCounts, c.FrontEnd.Reference = 1.5, synth.Neutral
	return c
}

func withMagnet(poles, at int, m synth.Magnet) []synth.Magnet {
	all := slices.Repeat([]synth.Magnet{{Strength: 1}}, poles)
	all[at] = m
	return all
}

func shaftOf(t *testing.T, c synth.Config) (*Result, *Shaft) {
	t.Helper()
	rec, _ := c.Record()
	rec.PolePairs = c.Motor.PolePairs
	r := Analyse(rec, Options{})
	s, err := r.Shaft(c.Motor.PolePairs)
	if err != nil {
		t.Fatalf("%v: %v", err, r.Findings)
	}
	return r, s
}

// TestOrdersOfTheShaft: with one magnet flipped the orders beside the fundamental are
// what the winding factors of those orders make of it, 13.9 and 13.3 % for orders 7 and
// 3 of 12/10 and 20.3, 17.7 and 9.3 % for 5, 3 and 6 of 9/8, of a fundamental that
// fell to 0.8 and 0.75 (computed apart from this program, for arcs of 0.85); and the
// fundamental itself stays balanced, as it does not where the winding is at fault.
func TestOrdersOfTheShaft(t *testing.T) {
	for _, c := range []struct {
		slots, poles int
		orders       map[int]float64
	}{{12, 10, map[int]float64{7: 0.139 / 0.8, 3: 0.133 / 0.8}}, {9, 8, map[int]float64{5: 0.203 / 0.75, 3: 0.177 / 0.75, 6: 0.093 / 0.75}}} {
		for seed := uint64(1); seed <= 4; seed++ {
			config := machined(t, c.slots, c.poles, seed, withMagnet(c.poles, int(seed), synth.Magnet{Strength: -1}))
			config.Motor.PoleStrength, config.Motor.PoleShift = 0, 0
			_, s := shaftOf(t, config)
			one := s.EMF[s.PolePairs-1]
			if s.Floating { // the uneven rotor's common part may pass for a moving reference
				continue
			}
			for order, want := range c.orders {
				for lead := range 3 {
					got := cmplx.Abs(s.EMF[order-1][lead]) / cmplx.Abs(one[lead])
					sd := math.Sqrt(s.Cov[order-1][lead][lead]) / cmplx.Abs(one[lead])
					// Four standard deviations, the third digit of the figures, and a
					// twentieth: the angle is bent by a rotor so uneven.
					if math.Abs(got-want) > 4*sd+0.002+want/20 {
						t.Errorf("%d/%d seed %d order %d lead %d: %.4f ±%.4f, want %.4f", c.slots, c.poles, seed, order, lead, got, sd, want)
					}
				}
			}
			turn := cmplx.Exp(complex(0, 2*math.Pi/3))
			a, b := one[0]+turn*one[1]+turn*turn*one[2], one[0]+turn*turn*one[1]+turn*one[2]
			if u := min(cmplx.Abs(a), cmplx.Abs(b)) / max(cmplx.Abs(a), cmplx.Abs(b)); u > 0.01 {
				t.Errorf("%d/%d seed %d: the fundamental has an unbalance of %.3f", c.slots, c.poles, seed, u)
			}
		}
	}
}

// TestPolePairsAreFound: from magnets that differ as usual ones do, and not from
// magnets that are all alike, nor from one turn.
func TestPolePairsAreFound(t *testing.T) {
	for i, q := range [][2]int{{12, 10}, {12, 14}, {9, 8}, {18, 16}, {12, 8}, {9, 6}} {
		c := machined(t, q[0], q[1], uint64(i+1), nil)
		c.Motor.PoleStrength, c.Motor.PoleShift = 0.01, 0.7
		rec, _ := c.Record()
		r := Analyse(rec, Options{})
		pairs, certain := r.FindPolePairs()
		enough := r.TurnsForward+r.TurnsBackward > 3*1.1*repeatPasses*float64(q[1]/2) // for three times as many to show
		if pairs != q[1]/2 || enough && !certain {
			t.Errorf("%v: %d pole pairs, certain %v", q, pairs, certain)
		}
		c.Motor.PoleStrength, c.Motor.PoleShift = 0, 0
		rec, _ = c.Record()
		if pairs, _ := Analyse(rec, Options{}).FindPolePairs(); pairs != 0 {
			t.Errorf("%v: %d pole pairs from magnets that are all alike", q, pairs)
		}
		c.Motor.PoleStrength, c.Motor.PoleShift = 0.01, 0.7
		c.Spin = synth.FewTurns(1.3 * float64(q[1]/2))
		rec, _ = c.Record()
		// 18/16 is two 9/8 in one, and 1.3 turns are more than two of those.
		if pairs, certain := Analyse(rec, Options{}).FindPolePairs(); certain || pairs != 0 && (q[0] != 18 || pairs != 4) {
			t.Errorf("%v: %d pole pairs from 1.3 turns of the shaft, certain %v", q, pairs, certain)
		}
	}
}

// TestBorders: a magnet that is late takes half of that to both its borders, and one
// the wrong way up takes two borders away, whichever sensor looks.
func TestBorders(t *testing.T) {
	late := machined(t, 12, 8, 3, withMagnet(8, 2, synth.Magnet{Strength: 1, ShiftDeg: 12}))
	late.Motor.PoleStrength, late.Motor.PoleShift = 0, 0
	_, s := shaftOf(t, late)
	for i, b := range s.Borders {
		worst := Value{}
		for k := range b.OffDeg {
			if v := b.Late(k); math.Abs(v.Value) > math.Abs(worst.Value) {
				worst = v
			}
		}
		// 6 degrees less what the two borders take from the sensor's own place, the
		// mean of eight: 1.5 of 12 over 8. Half a degree is the accuracy of edges.
		if math.Abs(math.Abs(worst.Value)-4.5) > 0.5 {
			t.Errorf("h%d sees a pole %.1f ±%.1f degrees late", i+1, worst.Value, worst.SD)
		}
	}
	flipped := machined(t, 12, 8, 3, withMagnet(8, 2, synth.Magnet{Strength: -1}))
	_, s = shaftOf(t, flipped)
	for i, b := range s.Borders {
		if missing := b.Missing(); len(missing) != 2 {
			t.Errorf("h%d misses the borders %v: seen %v of %v", i+1, missing, b.Seen, b.Expected)
		}
	}
}

// TestIndex: pulses once a turn give the pole pairs with magnets that are all alike, and
// where the turn begins, within a degree of the shaft; turned either way.
func TestIndex(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		c := machined(t, 12, 14, seed, nil)
		c.Motor.PoleStrength, c.Motor.PoleShift = 0, 0
		c.FrontEnd.Index, c.FrontEnd.IndexDeg = true, 100
		rec, truth := c.Record()
		r := Analyse(rec, Options{})
		pairs, certain := r.FindPolePairs()
		if pairs != 7 || !certain {
			t.Errorf("seed %d: %d pole pairs, certain %v", seed, pairs, certain)
			continue
		}
		s, err := r.Shaft(pairs)
		if err != nil {
			t.Fatal(err)
		}
		// The pulse's angle on the scale of the truth, within an electrical turn.
		want := truth.From(truth.Seen[0].AngleDeg).AngleAt(rec.Index[0])
		if off := math.Remainder(7*s.IndexDeg-want, 360); math.Abs(off) > 7 {
			t.Errorf("seed %d: index at %.1f degrees of the shaft, %.1f electrical degrees off", seed, s.IndexDeg, off)
		}
	}
}

// TestNoShaft: without a whole turn of the shaft, or without back-EMF, there is none.
func TestNoShaft(t *testing.T) {
	c := machined(t, 12, 10, 1, nil)
	c.Spin = synth.FewTurns(3)
	rec, _ := c.Record()
	if _, err := Analyse(rec, Options{}).Shaft(5); err != ErrFewTurns {
		t.Errorf("from 3 electrical turns of 5: %v", err)
	}
	for _, turns := range []float64{0.7, 0.95} { // and back again: 1.4 and 1.9 in all
		c.Spin = synth.Swing(turns * 5)
		rec, _ = c.Record()
		if _, err := Analyse(rec, Options{}).Shaft(5); err != ErrFewTurns {
			t.Errorf("from a swing over %g turns: %v", turns, err)
		}
	}
	if _, err := (&Result{}).Shaft(5); err != ErrNoAngle {
		t.Errorf("from nothing: %v", err)
	}
}

// TestHardlySeen: over one turn without any value of p2 for a fifth of a second, which is
// about an electrical turn, the orders' errors are one error there, and the shaft's orders
// are not told apart; over three turns that place is seen twice more.
func TestHardlySeen(t *testing.T) {
	for turns, want := range map[float64]error{1.2: ErrHardlySeen, 3: nil} {
		c := machined(t, 12, 10, 1, nil)
		c.Spin = synth.Spin{Seconds: turns, StartHz: 5, Drill: synth.Drill{Hz: 5}}
		rec, _ := c.Record()
		for i, at := range rec.Time {
			if at > 0.5 && at < 0.7 {
				rec.Columns[1].Value[i] = math.NaN()
			}
		}
		if _, err := Analyse(rec, Options{}).Shaft(5); err != want {
			t.Errorf("%g turns: %v, want %v", turns, err, want)
		}
	}
}

// TestNoPolePairsFromARipple: a drill whose speed ripples 6 or 11 times less often than the
// poles pass repeats by time, and with it by angle, without anything of the rotor's.
func TestNoPolePairsFromARipple(t *testing.T) {
	for seed := uint64(1); seed <= 2; seed++ {
		for _, every := range []float64{6, 11} {
			c := machined(t, 12, 14, seed, nil)
			c.Motor.PolePairs, c.Motor.Machine = 23, nil
			c.Motor.PoleStrength, c.Motor.PoleShift = 0, 0
			c.Spin = synth.Spin{Seconds: 6, StartHz: 80, Drill: synth.Drill{Hz: 80, Ripple: 0.2, RippleHz: 80 / every}}
			rec, _ := c.Record()
			if pairs, certain := Analyse(rec, Options{}).FindPolePairs(); pairs != 0 || certain {
				t.Errorf("seed %d, a ripple every %g turns: %d pole pairs, certain %v", seed, every, pairs, certain)
			}
		}
	}
}

// TestExchangedMagnets: between two neighbours that are exchanged the level changes the
// wrong way round; of 22 changes two are absent, one at either side of them.
func TestExchangedMagnets(t *testing.T) {
	magnets := withMagnet(22, 2, synth.Magnet{Strength: -1})
	magnets[3].Strength = -1
	_, s := shaftOf(t, machined(t, 24, 22, 3, magnets))
	for i, b := range s.Borders {
		if n := len(b.Missing()); n != 2 {
			t.Errorf("h%d misses %d borders: seen %v, changed %v of %v", i+1, n, b.Seen, b.Changed, b.Expected)
		}
	}
}
