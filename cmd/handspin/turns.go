package main

import "handspin/capture"

// turnCounter counts electrical turns each way from the Hall levels. Any two
// sensors are a pair in quadrature, whatever their angle; of the three pairs the
// liveliest counts, so that a dead sensor does not matter.
type turnCounter struct {
	pairs [3]quadrature
	last  capture.Levels
	begun bool
}

type quadrature struct{ up, down int }

// place of two levels in the order in which a turning pair passes them.
var place = [4]int{0, 1, 3, 2}

func (c *turnCounter) take(l capture.Levels) {
	if c.begun && l != c.last {
		for i := range c.pairs {
			c.pairs[i].step(pair(c.last, i), pair(l, i))
		}
	}
	c.last, c.begun = l, true
}

// pair returns the levels of leads i and i+1 as two bits.
func pair(l capture.Levels, i int) int {
	a, _ := l.Level(i)
	b, _ := l.Level((i + 1) % 3)
	n := 0
	if a {
		n = 2
	}
	if b {
		n++
	}
	return n
}

func (q *quadrature) step(from, to int) {
	switch (place[to] - place[from] + 4) % 4 {
	case 1:
		q.up++
	case 3:
		q.down++
	}
}

// best returns the counter of the liveliest pair.
func (c *turnCounter) best() quadrature {
	best := c.pairs[0]
	for _, p := range c.pairs[1:] {
		if p.up+p.down > best.up+best.down {
			best = p
		}
	}
	return best
}

func (c *turnCounter) total() float64    { return float64(c.best().up+c.best().down) / 4 }
func (c *turnCounter) forward() float64  { return float64(max(c.best().up, c.best().down)) / 4 }
func (c *turnCounter) backward() float64 { return float64(min(c.best().up, c.best().down)) / 4 }
