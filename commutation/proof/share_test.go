package proof

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Score intervals in percent as R. G. Newcombe gives them in his comparison of
// seven methods (Two-sided confidence intervals for the single proportion,
// Statistics in Medicine 17, 1998, table I, method 3), recalled from memory;
// he prints four decimals.
func TestIntervalPublished(t *testing.T) {
	for _, c := range []struct {
		share     Share
		low, high float64
	}{
		{Share{81, 263}, 0.2553, 0.3662},
		{Share{15, 148}, 0.0624, 0.1605},
		{Share{0, 20}, 0, 0.1611},
		{Share{1, 29}, 0.0061, 0.1718},
	} {
		low, high := c.share.Interval()
		if math.Abs(low-c.low) > 5e-5 || math.Abs(high-c.high) > 5e-5 {
			t.Errorf("%d of %d: %.4f to %.4f, want %.4f to %.4f", c.share.Of, c.share.All, low, high, c.low, c.high)
		}
	}
}

// The interval's ends solve Wilson's own equation, |p' - p| = z sqrt(p (1-p)/n),
// to rounding.
func TestIntervalSolvesItsEquation(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 1000 {
		n := 1 + rng.IntN(100000)
		s := Share{rng.IntN(n + 1), n}
		low, high := s.Interval()
		for _, p := range []float64{low, high} {
			apart, want := math.Abs(s.Value()-p), z95*math.Sqrt(p*(1-p)/float64(n))
			if math.Abs(apart-want) > 1e-9 {
				t.Fatalf("%+v: an end at %g is %g away, want %g", s, p, apart, want)
			}
		}
		if !(low <= s.Value() && s.Value() <= high) {
			t.Fatalf("%+v is outside %g to %g", s, low, high)
		}
	}
}

// Of shares drawn from a probability 95 of 100 intervals hold it. 4000 draws
// scatter by 0.35 %, and the score interval's coverage at this p and n differs
// from 95 % by up to 1 % for the steps of a count (Newcombe, as above).
func TestIntervalCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	const p, n, draws = 0.1, 200, 4000
	held := 0
	for range draws {
		var s Share
		for range n {
			s.Count(rng.Float64() < p)
		}
		if low, high := s.Interval(); low <= p && p <= high {
			held++
		}
	}
	if share := float64(held) / draws; math.Abs(share-0.95) > 0.02 {
		t.Errorf("%.3f of the intervals hold the probability, want 0.95", share)
	}
}

func TestIntervalOfNone(t *testing.T) {
	if low, high := (Share{}).Interval(); low != 0 || high != 1 {
		t.Errorf("%g to %g, want 0 to 1: nothing is known", low, high)
	}
}
