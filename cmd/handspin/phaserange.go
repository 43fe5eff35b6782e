package main

// boardClock adds up the board's time.
type boardClock struct {
	last  uint32
	known bool
	us    int64
}

// take adds a stamp and reports whether it is not older than the last.
func (c *boardClock) take(us uint32) (onward bool) {
	step := int32(us - c.last)
	switch {
	case !c.known || step > jump || step < -jump:
		c.known, c.last = true, us
		return true
	case step < 0:
		return false
	}
	c.us += int64(step)
	c.last = us
	return true
}

// jump is a step that is no time that passed, in microseconds.
const jump = 60e6

func (c *boardClock) seconds() float64 { return float64(c.us) / 1e6 }

// phaseRange is how far a phase column has gone, in all and since the last print.
type phaseRange struct {
	all, now [2]float64
	begun    [2]bool
	sum      float64
	n        int
}

func (p *phaseRange) take(v float64) {
	p.sum += v
	p.n++
	for i, r := range []*[2]float64{&p.all, &p.now} {
		if !p.begun[i] {
			*r, p.begun[i] = [2]float64{v, v}, true
		}
		r[0], r[1] = min(r[0], v), max(r[1], v)
	}
}

func (p *phaseRange) window() { p.begun[1] = false }

func (p *phaseRange) share(scale float64) float64 { return (p.all[1] - p.all[0]) / scale }

func (p *phaseRange) recent(scale float64) float64 { return (p.now[1] - p.now[0]) / scale }

// clipped reports whether the column has reached an end of the range since the last
// print. The lower end is where a column without bias rests: its mean is at most
// that of a half wave, the range over pi.
func (p *phaseRange) clipped(scale float64) bool {
	const biased = 0.4
	low := p.n > 0 && p.sum/float64(p.n) > biased*scale && p.now[0] <= 0
	return p.begun[1] && (p.now[1] >= scale || low)
}
