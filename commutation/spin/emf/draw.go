package emf

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"handspin/commutation/spin/curve"
)

// Unknowns returns the waves of all channels in a row.
func (f *Fit) Unknowns() []float64 { return slices.Concat(f.Wave...) }

// Draws is how many motors are drawn from the posterior.
const Draws = 48

// DrawWaves returns sets of unknowns drawn from their posterior, whose
// covariance is the inverse of the normal matrix with the spline eliminated.
// The draws are a fixed sequence: the same recording gives the same answer.
func (f *Fit) DrawWaves() ([][]float64, error) {
	r, err := f.reduce(0)
	if err != nil {
		return nil, err
	}
	_, inv, err := r.covariance()
	if err != nil {
		return nil, err
	}
	var root mat.Cholesky
	if !root.Factorize(inv) {
		return nil, curve.ErrIndefinite
	}
	var lower mat.TriDense
	root.LTo(&lower)
	scale := math.Sqrt(f.inflation())
	rng := rand.New(rand.NewPCG(1, 2))
	centre := f.Unknowns()
	pinned := f.pinned*f.PerChannel() + 1
	out := make([][]float64, Draws)
	for d := range out {
		x := mat.NewVecDense(len(centre), nil)
		for i := range centre {
			x.SetVec(i, scale*rng.NormFloat64())
		}
		x.MulVec(&lower, x)
		x.SetVec(pinned, 0)
		out[d] = make([]float64, len(centre))
		for i, c := range centre {
			out[d][i] = c + x.AtVec(i)
		}
	}
	return out, nil
}
