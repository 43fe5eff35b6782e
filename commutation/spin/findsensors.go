package spin

import (
	"fmt"
	"math"

	"handspin/commutation"
)

func (a *analysis) reportSensors() {
	if s := a.result.Sensors; !s[0].Known && !s[1].Known && !s[2].Known {
		a.find("sensor-not-recorded", commutation.Data, "", "no Hall lead is in the recording", "record all three Hall leads together with the phase leads")
		return
	}
	if share := a.allMiss(); share > 0 && !a.drag.large() {
		a.find("phase-irregular", commutation.Note, "", fmt.Sprintf("all sensors seem to have the wrong level for %.1f %% of the turning or more: they do not fail alike, so it is the angle that the phases give, or how often the sensors were read", 100*share),
			"record again with less pick-up and nothing cut off, more slowly, or with more samples a second")
	}
	for i, s := range a.result.Sensors {
		a.reportSensor(leadName("h", i), i, s)
		a.reportSwing(i)
	}
	r := &a.result
	if math.IsNaN(r.SpacingDeg) || r.SpacingDeg == 120 {
		return
	}
	if r.SpacingDeg == 60 {
		middle := leadName("h", a.middleSensor())
		a.find("sensor-spacing", commutation.Note, middle, "the sensors are 60 electrical degrees apart, with "+middle+" in the middle",
			"a controller for 60-degree sensors takes them as they are, "+middle+" on its own middle input")
		a.find("sensor-inverted", commutation.Note, middle, "the same is seen of a set 120 degrees apart in which "+middle+" is inverted",
			"if the motor is known to be a 120-degree one, that sensor was mounted or wired the other way round")
		return
	}
	if r.SpacingDeg < inPhaseDeg {
		a.find("sensor-spacing", commutation.Repair, "", fmt.Sprintf(
			"two sensors are only %.0f electrical degrees apart: the three do not tell six sectors of a turn apart", r.SpacingDeg),
			"the places must differ by 120 or 60 electrical degrees; that is the mechanical angle times the number of pole pairs")
		return
	}
	a.find("sensor-spacing", commutation.Note, "", fmt.Sprintf(
		"the sensors are neither 120 nor 60 electrical degrees apart; the closest two are %.0f degrees apart", r.SpacingDeg),
		"the list takes that into account; moving the sensor that is farthest off its place wins torque")
}

// allMiss is the least share of the turning for which a sensor has the wrong level, where
// there are two or more and all of them do; else 0.
func (a *analysis) allMiss() float64 {
	n, most := 0, 0.0
	for _, s := range a.result.Sensors {
		if s.Placed {
			n, most = n+1, max(most, s.Agreement)
		}
	}
	if n < 2 || most >= fairAgreement {
		return 0
	}
	return 1 - most
}

// middleSensor returns the sensor between the two others of a 60-degree set.
func (a *analysis) middleSensor() int {
	best, at := math.Inf(1), 0
	for i, s := range a.result.Sensors {
		sum := 0.0
		for _, o := range a.result.Sensors {
			sum += math.Abs(commutation.Signed(o.place() - s.place()))
		}
		if sum < best {
			best, at = sum, i
		}
	}
	return at
}

// bounces reports whether sensor i changes half as often again as each of the others, or more:
// one that fails changes less often than they do.
func (a *analysis) bounces(i int) bool {
	const oftener = 1.5
	most := 0
	for k, s := range a.result.Sensors {
		if k != i {
			most = max(most, s.Edges)
		}
	}
	s := a.result.Sensors[i]
	return most > 0 && float64(s.Edges+s.Glitches) > oftener*float64(most)
}

func (a *analysis) reportSensor(lead string, i int, s Sensor) {
	d := a.data[i]
	switch {
	case !s.Known:
		a.find("sensor-not-recorded", commutation.Data, lead, lead+" is not in the recording", "record all three Hall leads")
		return
	case a.mains():
		return
	case a.stuck(i):
		a.reportStuck(lead, i)
		return
	case !d.turnedEnough():
		if !s.Placed && !a.has("too-little-rotation") {
			a.find("too-little-rotation", commutation.Data, lead, "the rotor turned too little for "+lead+" to be seen both rising and falling",
				"turn the rotor at least one whole shaft turn, more if it has few poles")
		}
		return
	case a.drag.large():
		return // it has no place of its own, but nothing is wrong with the sensor
	case s.Agreement < poorAgreement && a.bounces(i):
		a.find("sensor-intermittent", commutation.Data, lead, fmt.Sprintf("%s has the level of its place for only %.0f %% of the turning, since it bounces or picks up noise: %d short pulses beside %d edges", lead, 100*s.Agreement, s.Glitches, s.Edges),
			"turn more slowly; if it stays, add a pull-up and a small capacitor at the input, or route the cable away from the phase leads")
		return
	case s.Agreement < poorAgreement && a.agreeing() < 2:
		a.find("sensor-intermittent", commutation.Data, lead, fmt.Sprintf("%s has the level of its place for only %.0f %% of the turning, but so few sensors agree with the angle that it may be the angle that is wrong", lead, 100*s.Agreement),
			"record again, turning the rotor by itself through several whole turns")
		return
	case s.Agreement < poorAgreement:
		a.find("sensor-intermittent", commutation.Repair, lead, fmt.Sprintf("%s has the level of its place for only %.0f %% of the turning", lead, 100*s.Agreement),
			"check its solder joints, its supply, its pull-up and the magnet's distance")
		return
	case s.Agreement < fairAgreement && a.allMiss() == 0:
		a.find("sensor-intermittent", commutation.Note, lead, fmt.Sprintf("%s misses pulses: it has the wrong level for %.1f %% of the turning", lead, 100*(1-s.Agreement)),
			"check its solder joints, its supply, its pull-up and the magnet's distance")
	}
	if !s.Placed && len(d.edges) < fewEdges {
		if !a.has("too-little-rotation") {
			a.find("too-little-rotation", commutation.Data, lead, fmt.Sprintf("%s changed only %d times, not at places that agree: too little to tell whether it is sound", lead, len(d.edges)),
				"turn the rotor at least one whole shaft turn, more if it has few poles")
		}
		return
	}
	if !s.Placed {
		a.find("sensor-intermittent", commutation.Repair, lead, lead+" changes at no fixed place of the rotor", "check its supply, its pull-up and the magnet's distance")
		return
	}
	if float64(s.Glitches) > max(noisyShare*float64(s.Edges), 2) {
		a.find("sensor-noisy", commutation.Note, lead, fmt.Sprintf("%s bounces or picks up noise: %d short pulses beside %d edges; they were left out", lead, s.Glitches, s.Edges),
			"add a pull-up and a small capacitor at the input, or route the cable away from the phase leads")
	}
	a.reportPlace(lead, s)
}

// agreeing counts the sensors that change at fixed places.
func (a *analysis) agreeing() int {
	n := 0
	for i, s := range a.result.Sensors {
		if s.Placed && !a.stuck(i) && s.Agreement >= poorAgreement {
			n++
		}
	}
	return n
}

func (a *analysis) reportStuck(lead string, i int) {
	_, high := a.level(i)
	if high {
		a.find("sensor-stuck-high", commutation.Repair, lead, lead+" stayed high while the rotor turned",
			"an open wire with a pull-up reads high: check the wire and the connector, then the sensor's supply, then the sensor")
		return
	}
	a.find("sensor-stuck-low", commutation.Repair, lead, lead+" stayed low while the rotor turned",
		"a missing pull-up or a short to ground reads low: check those, then the sensor's supply, then the sensor")
}

func (a *analysis) reportPlace(lead string, s Sensor) {
	if math.Abs(s.ErrorDeg) > misplacedDeg {
		a.find("sensor-misplaced", commutation.Note, lead, fmt.Sprintf("%s sits %.0f electrical degrees %s of its regular place", lead, math.Abs(s.ErrorDeg), ahead(s.ErrorDeg)),
			"errors up to nine degrees are usual; move the sensor if the motor runs rough")
	}
	if math.Abs(s.Duty-0.5) > dutyError {
		a.find("sensor-misplaced", commutation.Note, lead, fmt.Sprintf("%s is high for %.0f %% of the turn instead of 50 %%", lead, 100*s.Duty),
			"the sensor may be too far from the magnets, or not centred over them")
	}
}

func ahead(deg float64) string {
	if deg > 0 {
		return "late"
	}
	return "early"
}
