package rotor

import (
	"math"
	"testing"
)

// core is a core of 46.5 mm with ten blocks 12.7 mm wide and 3.175 mm thick; the
// stator is such that the middle of the blocks has 1.6 mm (common practice).
var core = Blocks{WidthM: 12.7e-3, ThicknessM: 3.175e-3, IronM: 46.5e-3, StatorM: 2 * (23.25 + 3.175 + 1.6) * 1e-3, PolePairs: 5}

// TestBlockGap: such a rotor shows a gap from 0.87 mm at the blocks' edges to 1.6 mm
// in the middle (common practice, by feeler gauge); the difference follows from the
// geometry within 0.05 mm.
func TestBlockGap(t *testing.T) {
	if err := core.Check(); err != nil {
		t.Fatal(err)
	}
	middle, edge := core.Clearance()
	near(t, "middle", middle*1e3, 1.6, 1e-9)
	near(t, "edge", edge*1e3, 0.87, 0.05)
	// By hand: a corner is sqrt(26.425^2 + 6.35^2) = 27.17725 from the centre.
	near(t, "edge", edge*1e3, 28.025-27.17725, last(4))
	// Between core and block there is nothing in the middle, at the edges 23.25 -
	// sqrt(23.25^2 - 6.35^2) = 0.8840 by hand.
	p := core.Pole()
	near(t, "gap in the middle", p.GapM(0)*1e3, 1.6, 1e-9)
	near(t, "gap at the edge", p.GapM(p.HalfRad)*1e3, 28.025-27.1772+0.8840, 1e-4)
	near(t, "width", p.HalfRad*180/math.Pi, 5*14.34, 0.05) // atan(6.35/24.8375) = 14.34 degrees
	near(t, "symmetry", p.GapM(-0.5), p.GapM(0.5), 0)
}

// TestBlocksLose: the same motor with an arc magnet rotor of 0.75 mm gap has more
// flux, by the factor of the gap fields with the mean gaps at the least.
func TestBlocksLose(t *testing.T) {
	d := Design{
		Magnet: Magnet{1.30, RecoilNdFeB, 3.175e-3}, Pole: core.Pole(), PolePairs: 5,
		StatorM: core.StatorM, StackM: 20e-3, Slots: 12, SlotOpeningM: 2e-3, Turns: 12, WindingFactor: 0.933,
	}
	flat := d.LinkageVS()
	d.Pole = Arc(0.75e-3, d.Pole.HalfRad*2/math.Pi)
	ratio := flat / d.LinkageVS()
	// The blocks' non-iron gap is between 1.6 and 1.73 mm all over, the arc's 0.75:
	// by hand (0.75 + 3.024)/(1.6 + 3.024) = 0.816 and (0.75+3.024)/(1.73+3.024) = 0.794,
	// times the ratio of the Carter coefficients, 1.004 or less.
	if ratio < 0.79 || ratio > 0.82 {
		t.Errorf("ratio %g", ratio)
	}
}

// TestOutsideRing: worked by hand. In a ring of 60 mm inside, blocks 10 mm wide
// touch with their edges; their middle is sqrt(30^2 - 5^2) = 29.5804 from the
// centre and 0.4196 mm from the ring. With 3 mm of magnet the gap side is at
// 26.5804 in the middle and sqrt(26.5804^2 + 25) = 27.0466 at the edges.
func TestOutsideRing(t *testing.T) {
	b := Blocks{WidthM: 10e-3, ThicknessM: 3e-3, IronM: 60e-3, StatorM: 52e-3, PolePairs: 7, Outside: true}
	if err := b.Check(); err != nil {
		t.Fatal(err)
	}
	middle, edge := b.Clearance()
	near(t, "middle", middle*1e3, 0.5804, last(4))
	near(t, "edge", edge*1e3, 1.0466, last(4))
	p := b.Pole()
	near(t, "gap in the middle", p.GapM(0)*1e3, 0.5804+0.4196, 1e-4)
	near(t, "gap at the edge", p.GapM(p.HalfRad)*1e3, 1.0466, 1e-4)
}

func TestBlocksThatDoNotFit(t *testing.T) {
	for want, change := range map[string]func(*Blocks){
		"blocks 50 mm wide do not fit an iron of 46.5 mm":                                                              func(b *Blocks) { b.WidthM = 50e-3 },
		"10 blocks 16 mm wide overlap: each spans 38 degrees":                                                          func(b *Blocks) { b.WidthM, b.StatorM = 16e-3, 60e-3 },
		"the blocks touch the stator: 27 mm from its middle, 26.43 mm in the magnets' middle, 27.18 mm at their edges": func(b *Blocks) { b.StatorM = 54e-3 },
	} {
		b := core
		change(&b)
		if err := b.Check(); err == nil || err.Error() != want {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	ring := Blocks{WidthM: 70e-3, ThicknessM: 3e-3, IronM: 60e-3, StatorM: 52e-3, PolePairs: 7, Outside: true}
	if ring.Check() == nil {
		t.Error("blocks wider than the ring fit")
	}
}

func TestGrades(t *testing.T) {
	for text, want := range map[string]float64{"N42": 1.30, "n42sh": 1.30, " N35EH": 1.195, "N52": 1.44, "N48M": 1.395} {
		g, err := ParseGrade(text)
		if err != nil {
			t.Error(err)
		}
		near(t, text, g.RemanenceT(), want, 1e-9)
	}
	for _, text := range []string{"", "42", "N41", "N42X", "H"} {
		if _, err := ParseGrade(text); err == nil {
			t.Errorf("%q is a grade", text)
		}
	}
	near(t, "80 degrees", Warm(1.30, 80), 1.30*0.928, 1e-9) // 60 x 0.12 %
}
