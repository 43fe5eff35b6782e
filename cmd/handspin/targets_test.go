package main

import (
	"math/rand/v2"
	"testing"
	"fmt"
	"slices"
	"os"
	"strconv"
	"sync"

	"handspin/capture/synth"
	"handspin/cmd/handspin/internal/present"
	"handspin/commutation/spin"
	"handspin/commutation/winding"
)

var pairsOf = [][2]int{{12, 10}, {12, 14}, {9, 8}, {9, 10}, {12, 8}, {9, 6}, {18, 16}}

type trialMotor struct {
	config synth.Config
	stator stator
	layout winding.Layout
	fault  winding.Fault
	what synth.Magnet
	at int
}

func drawMotor(seed uint64, faulty bool) trialMotor {
	rng := rand.New(rand.NewPCG(seed, 17))
	q := pairsOf[rng.IntN(len(pairsOf))]
	m, err := winding.New(q[0], q[1])
	if err != nil { panic(err) }
	out := trialMotor{stator: stator{slots: q[0], poles: q[1], starPoint: rng.IntN(2) == 0}, layout: m.Layout()}
	faults := out.layout.Faults()
	if faulty {
		// kinds equally likely
		kind := winding.Kind(1 + rng.IntN(6))
		for {
			out.fault = faults[1+rng.IntN(len(faults)-1)]
			if out.fault.Kind == kind { break }
			kind = winding.Kind(1 + rng.IntN(6))
		}
	}
	c := synth.Random(synth.Ordinary, seed)
	old := c.Motor.PolePairs
	c.Motor.PolePairs = q[1]/2
	_ = old
	c.Motor.Machine = &synth.Machine{ToothDeg: -out.layout.AxisDeg()}
	for _, coil := range out.layout.With(out.fault).Coils {
		c.Motor.Machine.Coils = append(c.Motor.Machine.Coils, synth.Coil{Phase: coil.Phase, Sense: coil.Sense})
	}
	c.Motor.PhaseOrder = [3]int{0, 1, 2}
	c.FrontEnd.NoiseCounts = 1.5
	c.FrontEnd.Reference = synth.VirtualStar
	if out.stator.starPoint { c.FrontEnd.Reference = synth.Neutral }
	out.config = c
	return out
}

func (m *trialMotor) spoil(seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 18))
	var mags []synth.Magnet
	for range m.stator.poles { mags = append(mags, synth.Magnet{Strength: 1}) }
	m.at = rng.IntN(len(mags))
	m.config.Motor.PoleStrength = min(m.config.Motor.PoleStrength, .01)
	switch rng.IntN(4) {
	case 0: mags[m.at].Strength = .5+.4*rng.Float64()
	case 1: mags[m.at].Strength = 0
	case 2: mags[m.at].Strength = -1
	case 3: mags[m.at].ShiftDeg = 10+10*rng.Float64()
	}
	m.what = mags[m.at]
	m.config.Motor.Machine.Magnets = mags
}

func (m trialMotor) inspect() *present.Inspection {
	rec, _ := m.config.Record()
	rec.PolePairs = m.stator.poles / 2
	n := present.NewInspection(&present.Answer{Recording: rec, Spin: spin.Analyse(rec, spin.Options{})}, 0)
	if err := m.stator.judge(n); err != nil { return nil }
	return n
}

func TestTargets(t *testing.T) {
	N, _ := strconv.Atoi(os.Getenv("N"))
	var mu sync.Mutex
	var wg sync.WaitGroup
	bad := map[string]int{}
	sem := make(chan bool, 2)
	for seed := uint64(1); seed <= uint64(N); seed++ {
		for mode := range 3 {
			wg.Add(1); sem <- true
			go func() {
				defer func() { <-sem; wg.Done() }()
				faulty := mode == 1
				m := drawMotor(seed, faulty)
				if mode == 2 { m.spoil(seed) }
				n := m.inspect()
				mu.Lock(); defer mu.Unlock()
				bad[fmt.Sprint("all ", faulty)]++
				if n == nil || n.Winding == nil { bad[fmt.Sprint("none ", faulty)]++; fmt.Println(seed, faulty, m.stator, m.fault, "no judgement"); return }
				f := n.Winding.Found
				desc := fmt.Sprint(seed, " ", m.stator, " ", m.fault, " ref ", m.config.FrontEnd.Reference)
				if mode == 2 {
					bad["rotor all"]++
					if f.Faulty() { bad["rotor as winding"]++; fmt.Println(desc, m.what, "ROTOR AS WINDING", f.Groups[0].Faults, f.Fit) }
					if !f.Explained() { bad["rotor unexplained winding"]++; fmt.Println(desc, m.what, "unexplained", f.Fit) }
					said := ""
					if n.Rotor.Pattern != nil { for _, c := range n.Rotor.Pattern.Causes { said += fmt.Sprint(c) } } else { for _, x := range n.Spin.Findings { if len(x.Code)>5 && x.Code[:6]=="rotor-" { said += x.Text+";" } } }
					bad[fmt.Sprint("said ", said != "")]++
					fmt.Println(desc, m.what, m.at, "=>", said, n.Rotor.Untested, n.Rotor.Blind)
					return
				}
				rot := ""
				for _, x := range n.Spin.Findings { if len(x.Code)>5 && x.Code[:6]=="rotor-" { rot += x.Text+";" } }
				if rot != "" { bad[fmt.Sprint("rotor claimed ", faulty)]++; fmt.Println(desc, "ROTOR", rot) }
				if !faulty {
					if f.Faulty() { bad["sound claimed faulty"]++; fmt.Println(desc, "CLAIMED", f.Groups[0].Faults, f.Fit) }
					if !f.Sound() { bad["sound not sound"]++; fmt.Println(desc, "not sound; explained", f.Explained(), f.Fit, f.Groups[0].Faults[0], f.Groups[0].Probability) }
					return
				}
				ok := slices.ContainsFunc(f.Groups[0].Faults, func(g winding.Fault) bool { return g.String() == m.fault.String() })
				if !ok || !f.Explained() { bad["fault not first"]++; fmt.Println(desc, "GOT", f.Groups[0].Faults, f.Fit, f.Groups[0].Probability) }
				if !f.Faulty() { bad["fault not claimed"]++; if ok { fmt.Println(desc, "first but not claimed", f.Fit, f.Groups[0].Probability, f.Groups[1].Faults[0]) } }
			}()
		}
	}
	wg.Wait()
	fmt.Println(bad)
}
