package proof

import (
	"math"
	"math/rand/v2"

	"handspin/capture/synth"
	"handspin/commutation"
)

// Case is a random motor with all that becomes of it.
type Case struct {
	Seed   uint64
	Kind   synth.Kind
	Faults []string
	Table  commutation.DriveTable
	Config synth.Config
	// Least is what the faults by themselves expect.
	Least Expect
}

// stream is the random stream that faults and tables are drawn from; the
// motor's own are those of [synth.Random].
const stream = 1 << 40

// Draw draws the case of a seed: half of them are sound, an eighth is strained,
// the rest has a fault, one in eight of those a second.
func Draw(seed uint64) Case {
	d := draw{rand.New(rand.NewPCG(seed, stream))}
	c := Case{Seed: seed, Kind: synth.Kind(d.IntN(int(synth.Kinds)))}
	c.Config = synth.Random(c.Kind, seed)
	c.seat(d)
	switch x := d.IntN(8); {
	case x == 0:
		strain(d, &c.Config)
		c.Faults, c.Least = []string{"strained"}, May
	case x < 4:
		c.spoil(d)
		if d.IntN(8) == 0 {
			c.spoil(d)
		}
	}
	c.timing(draw{rand.New(rand.NewPCG(seed, stream+2))})
	c.sparks(draw{rand.New(rand.NewPCG(seed, stream+3))})
	return c
}

// sparks puts single samples off in one of twelve cases, up to one in a hundred.
func (c *Case) sparks(d draw) {
	if d.IntN(12) != 0 {
		return
	}
	f := &c.Config.FrontEnd
	f.Spikes = d.between(0.0001, 0.01) * f.RateHz
	f.SpikeCounts = math.Exp(d.between(math.Log(20), math.Log(2000)))
	c.Faults = append(c.Faults, "sparks")
}

// timing makes the sensors late in one of twelve cases, so that their angles depend on
// the speed, and lets a drill come slowly to any speed in one of six.
func (c *Case) timing(d draw) {
	if d.IntN(12) == 0 {
		late := math.Exp(d.between(math.Log(30), math.Log(10000)))
		for i := range c.Config.Motor.Sensors {
			c.Config.Motor.Sensors[i].LateUS = late
		}
		c.Faults, c.Least = append(c.Faults, "late-sensors"), max(c.Least, May)
	}
	drill := &c.Config.Spin.Drill
	if d.IntN(6) == 0 && drill.Hz != 0 {
		slower := math.Exp(d.between(math.Log(0.05), 0))
		drill.Hz *= slower
		drill.Ramp = d.between(0.2, 4)
		c.Config.Spin.StartHz = 0
		c.Config.Motor.Flux /= slower
		c.Faults = append(c.Faults, "ramped")
	}
}

// seat draws the drive table, of any class, and in one of eight motors a set of
// sensors 60 degrees apart, with the tables that are made for those.
func (c *Case) seat(d draw) {
	classes := commutation.Classes()
	of120, of60 := classes[:12], classes[12:]
	c.Table = of120[d.IntN(12)].Table()
	if d.IntN(8) != 0 {
		return
	}
	errors := [3]float64{3 * d.NormFloat64(), 3 * d.NormFloat64(), 3 * d.NormFloat64()}
	placed := synth.Placed(60, 30+60*float64(d.IntN(6)), [3]int(d.Perm(3)), errors)
	for i := range placed {
		c.Config.Motor.Sensors[i].RiseDeg = placed[i].RiseDeg
	}
	if d.IntN(4) != 0 { // else a table that cannot serve it
		c.Table = of60[d.IntN(12)].Table()
	}
}

// spoil adds a fault; a combination that cannot be simulated is left as it was.
func (c *Case) spoil(d draw) {
	f := faults[d.IntN(len(faults))]
	before := c.Config
	f.do(d, &c.Config)
	if c.Config.Check() != nil {
		c.Config = before
		return
	}
	c.Faults = append(c.Faults, f.name)
	c.Least = max(c.Least, f.expect)
}
