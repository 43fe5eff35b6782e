package spin

import "math"

// profile is how a Hall lead's level depends on the electrical angle: by
// degree, how far the rotor turned there while the level was high and low.
type profile struct {
	high, low [360]float64
}

// add records travel from angle a to b at one level. Ten turns at once are not
// a rotor's but those of an angle that went astray.
func (p *profile) add(a, b float64, high bool) {
	if b < a {
		a, b = b, a
	}
	if b-a > 3600 {
		return
	}
	to := &p.low
	if high {
		to = &p.high
	}
	floor := math.Floor(a)
	d := (int(floor)%360 + 360) % 360
	for a < b {
		floor++
		next := min(floor, b)
		to[d] += next - a
		a = next
		if d++; d == 360 {
			d = 0
		}
	}
}

// arc returns the arc [rise, fall) of whole degrees in which high fits the
// profile best: the circular run of the largest sum of high less low. That is
// either a run that does not pass 360 or what a run of the smallest sum leaves.
func (p *profile) arc() (rise, fall int) {
	var balance, negative [360]float64
	total := 0.0
	for k := range balance {
		balance[k] = p.high[k] - p.low[k]
		negative[k] = -balance[k]
		total += balance[k]
	}
	rise, fall, most := largestRun(&balance)
	if low, high, least := largestRun(&negative); total+least > most {
		rise, fall = high, low
	}
	return rise % 360, fall % 360
}

// largestRun returns the run [from, to) of the largest sum and that sum, by
// Kadane's scan.
func largestRun(x *[360]float64) (from, to int, most float64) {
	sum, start := 0.0, 0
	for k, v := range x {
		if sum <= 0 {
			sum, start = 0, k
		}
		if sum += v; sum > most {
			most, from, to = sum, start, k+1
		}
	}
	return from, to, most
}

// nearEdge is how close to an edge a level says nothing: hysteresis lets it
// differ there between the directions. Where that is known, it is nearHysteresis more.
const (
	nearEdge       = 15
	nearHysteresis = 5
)

// agreement returns the share of the travel, farther than near from the edges, at which
// the level was high from rise to fall and low elsewhere; all in degrees.
func (p *profile) agreement(rise, fall, near int) float64 {
	right, all := 0.0, 0.0
	width := ((fall-rise)%360 + 360) % 360
	for k := range 360 {
		d := (rise + k) % 360
		inside := k < width
		to := min(k, 360-k, max(k-width, width-k)) // distance to an edge
		if to < near {
			continue
		}
		all += p.high[d] + p.low[d]
		if inside {
			right += p.high[d]
		} else {
			right += p.low[d]
		}
	}
	if all == 0 {
		return 0
	}
	return right / all
}

// covered returns how many of the 360 degrees the rotor passed.
func (p *profile) covered() int {
	n := 0
	for d := range p.high {
		if p.high[d]+p.low[d] > 0 {
			n++
		}
	}
	return n
}
