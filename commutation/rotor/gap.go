package rotor

import (
	"fmt"
	"math"
)

// Pole is the shape of a magnet pole and of the gap before it.
type Pole struct {
	// HalfRad is half the magnet's width in electrical radians; at most pi/2.
	HalfRad float64
	// GapM is by electrical angle how much there is along the field that is
	// neither iron nor magnet.
	GapM func(rad float64) float64
}

// Arc returns the pole of a magnet bent like the gap, of the given fraction of the
// pole's width.
func Arc(gapM, fraction float64) Pole {
	return Pole{fraction * math.Pi / 2, func(float64) float64 { return gapM }}
}

// Blocks is flat magnets on a round iron. Inside the stator each rests in its
// middle on a round core; outside, with its edges on a round ring. What is left
// between magnet and iron counts as gap, as glue does.
type Blocks struct {
	WidthM, ThicknessM float64
	// IronM is the diameter of the core or of the ring's inside, StatorM that
	// of the stator at the gap.
	IronM, StatorM float64
	PolePairs      int
	Outside        bool
}

// Check returns what in the sizes cannot be.
func (b Blocks) Check() error {
	switch edge := b.edge(); {
	case b.WidthM >= b.IronM:
		return fmt.Errorf("blocks %s wide do not fit an iron of %s", mm(b.WidthM), mm(b.IronM))
	case b.clear(0) <= 0 || b.clear(b.WidthM/2) <= 0:
		return fmt.Errorf("the blocks touch the stator: %s from its middle, %s in the magnets' middle, %s at their edges",
			mm(b.StatorM/2), mm(b.face(0)), mm(b.face(b.WidthM/2)))
	case edge > math.Pi/float64(2*b.PolePairs):
		return fmt.Errorf("%d blocks %s wide overlap: each spans %.3g degrees", 2*b.PolePairs, mm(b.WidthM), edge*360/math.Pi)
	}
	return nil
}

func mm(m float64) string { return fmt.Sprintf("%.4g mm", m*1e3) }

// edge returns the mechanical angle from a block's middle to its edge, in radians,
// where the block is nearest to the centre: there neighbours meet first.
func (b Blocks) edge() float64 {
	return math.Atan2(b.WidthM/2, b.seat()-b.under())
}

// seat returns the distance of the block's iron side from the centre, in its
// middle: Pythagoras in the half block.
func (b Blocks) seat() float64 {
	if b.Outside {
		return math.Sqrt(b.IronM*b.IronM-b.WidthM*b.WidthM) / 2
	}
	return b.IronM / 2
}

// under returns the thickness of the magnet where it is on the centre's side of
// the iron.
func (b Blocks) under() float64 {
	if b.Outside {
		return b.ThicknessM
	}
	return 0
}

// face returns how far from the centre the block's gap side is, at x from its
// middle.
func (b Blocks) face(x float64) float64 {
	height := b.seat() + b.ThicknessM
	if b.Outside {
		height = b.seat() - b.ThicknessM
	}
	return math.Hypot(height, x)
}

// clear returns the clearance to the stator at x from the block's middle.
func (b Blocks) clear(x float64) float64 {
	if b.Outside {
		return b.face(x) - b.StatorM/2
	}
	return b.StatorM/2 - b.face(x)
}

// wedge returns what is between iron and block at x from its middle: between a
// circle and a line that touches it in the middle, or that it cuts at the edges.
func (b Blocks) wedge(x float64) float64 {
	circle := math.Sqrt(b.IronM*b.IronM/4 - x*x)
	return math.Abs(circle - b.seat())
}

// Clearance returns the gap that one can measure, in the middle of a block and at
// its edges.
func (b Blocks) Clearance() (middleM, edgeM float64) { return b.clear(0), b.clear(b.WidthM / 2) }

// Pole returns the blocks' pole. The blocks must have passed [Blocks.Check].
func (b Blocks) Pole() Pole {
	middle := b.seat() + b.ThicknessM/2
	if b.Outside {
		middle = b.seat() - b.ThicknessM/2
	}
	along := func(rad float64) float64 { // from electrical angle to x along the block
		return math.Min(middle*math.Tan(math.Abs(rad)/float64(b.PolePairs)), b.WidthM/2)
	}
	half := float64(b.PolePairs) * math.Atan(b.WidthM/2/middle)
	return Pole{
		math.Min(half, math.Pi/2),
		func(rad float64) float64 { return b.clear(along(rad)) + b.wedge(along(rad)) },
	}
}
