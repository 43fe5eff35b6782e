package rotor

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// Design is a motor as far as its magnets' flux depends on it. All sizes must be
// positive, SlotOpeningM may be 0 for none; [Design.Check] tells.
type Design struct {
	Magnet    Magnet
	Pole      Pole
	PolePairs int
	// StatorM is the diameter of the stator at the gap (the bore, or for a
	// rotor outside the stator's outer diameter), StackM its length.
	StatorM, StackM float64
	Slots           int
	SlotOpeningM    float64
	// Turns are those in series of a phase, WindingFactor is of the
	// fundamental.
	Turns, WindingFactor float64
}

// Check returns what in the design cannot be.
func (d Design) Check() error {
	for _, size := range []struct {
		name string
		x    float64
	}{
		{"remanence", d.Magnet.RemanenceT}, {"recoil permeability", d.Magnet.Recoil}, {"magnet thickness", d.Magnet.ThicknessM},
		{"magnet width", d.Pole.HalfRad}, {"gap", d.Pole.GapM(0)}, {"number of pole pairs", float64(d.PolePairs)},
		{"stator diameter", d.StatorM}, {"stack length", d.StackM}, {"number of slots", float64(d.Slots)},
		{"number of turns", d.Turns}, {"winding factor", d.WindingFactor},
	} {
		if !(size.x > 0) || math.IsInf(size.x, 0) {
			return fmt.Errorf("the %s must be above zero", size.name)
		}
	}
	pitch := math.Pi * d.StatorM / float64(d.Slots)
	if !(d.SlotOpeningM >= 0 && d.SlotOpeningM < pitch) {
		return fmt.Errorf("a slot opening of %s does not fit a slot pitch of %s", mm(d.SlotOpeningM), mm(pitch))
	}
	if d.Pole.HalfRad > math.Pi/2*(1+1e-9) { // rounding errors
		return errors.New("the magnets are wider than a pole")
	}
	return nil
}

// Carter returns by which factor slots lengthen a gap (Carter 1901): with gamma =
// 4/pi (u atan u - ln sqrt(1 + u^2)), u = opening/(2 gap), it is pitch/(pitch -
// gamma gap). It holds for openings well below the pitch.
func Carter(pitchM, openingM, gapM float64) float64 {
	u := openingM / (2 * gapM)
	gamma := 4 / math.Pi * (u*math.Atan(u) - math.Log1p(u*u)/2)
	return pitchM / (pitchM - gamma*gapM)
}

// GapT returns the flux density before the magnet at an electrical angle from the
// pole's middle, by one tube of flux without leakage, iron taken as perfect:
// Br (l/mu) / (kC (g + l/mu)), kC being Carter's coefficient of g + l/mu (textbook:
// Hanselman; Hendershot and Miller). It is zero beyond the magnet.
func (d Design) GapT(rad float64) float64 {
	if math.Abs(rad) > d.Pole.HalfRad {
		return 0
	}
	return d.tube(d.Pole.GapM(rad))
}

// tube returns the flux density before the magnet with so much gap.
func (d Design) tube(gapM float64) float64 {
	magnet := d.Magnet.ThicknessM / d.Magnet.Recoil
	length := gapM + magnet
	return d.Magnet.RemanenceT * magnet / (d.carter(length) * length)
}

func (d Design) carter(lengthM float64) float64 {
	return Carter(math.Pi*d.StatorM/float64(d.Slots), d.SlotOpeningM, lengthM)
}

// Carter returns the coefficient in the middle of the pole.
func (d Design) Carter() float64 {
	return d.carter(d.Pole.GapM(0) + d.Magnet.ThicknessM/d.Magnet.Recoil)
}

// points is the number of Gauss-Legendre points, plenty for a smooth function.
const points = 40

// HarmonicT returns the amplitude of the field's harmonic of odd order n:
// (4/pi) times the integral of B(rad) cos(n rad) over half the magnet; for an arc
// magnet (4/pi) B sin(n HalfRad)/n.
func (d Design) HarmonicT(n int) float64 {
	f := func(rad float64) float64 { return d.GapT(rad) * math.Cos(float64(n)*rad) }
	return 4 / math.Pi * quad.Fixed(f, 0, d.Pole.HalfRad, points, quad.Legendre{}, 0)
}

// PoleFluxWb returns the flux of the field's fundamental in one pole:
// B1 D L / p.
func (d Design) PoleFluxWb() float64 {
	return d.HarmonicT(1) * d.StatorM * d.StackM / float64(d.PolePairs)
}

// LinkageVS returns the peak flux linkage of a phase's fundamental, in V s.
func (d Design) LinkageVS() float64 { return d.Turns * d.WindingFactor * d.PoleFluxWb() }

// GapSensitivity returns by which share the flux linkage changes per metre of
// additional gap, all round; it is negative.
func (d Design) GapSensitivity() float64 {
	const step = 1e-6 // far below any gap, far above rounding errors
	return (d.wider(step).LinkageVS() - d.wider(-step).LinkageVS()) / (2 * step * d.LinkageVS())
}

// wider returns the design with so much more gap.
func (d Design) wider(by float64) Design {
	gap := d.Pole.GapM
	d.Pole.GapM = func(rad float64) float64 { return gap(rad) + by }
	return d
}

// What measured motors have been relative to this formula: it leaves out leakage
// and saturation and so errs high, by 0.3 % on a carefully described motor, by 35 %
// on a small cheap one; its grade and sizes are the maker's. A little below 1 is
// the usual place, and outside of these limits something is not as it was said.
const (
	LowestShare  = 0.6
	HighestShare = 1.1
)

// Expected reports whether a measured flux linkage is within the limits of what the
// formula can tell, and its share of the computed one.
func (d Design) Expected(measuredVS float64) (share float64, within bool) {
	share = measuredVS / d.LinkageVS()
	return share, share >= LowestShare && share <= HighestShare
}
