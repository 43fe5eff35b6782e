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
}

func (p *phaseRange) take(v float64) {
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

// clipped reports whether the column reached the end of the range at the top; the
// lower end is where columns without bias rest.
func (p *phaseRange) clipped(scale float64) bool { return p.all[1] >= scale }
