package spin

import (
	"fmt"
	"math"

	"handspin/commutation"
)

// Files that were joined by time may be of different spins, for instruments count
// each spin from the same moment. What shows it is that sensors or phases do not
// keep their places against one another as the speed varies.

// steadyRange is how far the speeds of a steady rotor are apart, of their mean: those
// of an even spread with a standard deviation of steadyCV.
var steadyRange = math.Sqrt(12) * steadyCV

// mergedAgreement is the least agreement of a sensor's level with its place in a
// recording joined by time. Sensors of two spins drift against each other: by 20
// degrees where they agree no better, as each edge is then 5 of 180 degrees off on
// the mean. Two pushes of 10 turns by hand are not that much alike (0.6 %).
const mergedAgreement = 0.97

// reportMerged says where files that were joined by time do not fit one another, or
// where nothing would show it. A sensor that misses pulses looks the same.
func (a *analysis) reportMerged() {
	if !a.rec.Merged {
		return
	}
	worst, lead := 1.0, ""
	for i, s := range a.result.Sensors {
		if s.Agreement < worst {
			worst, lead = s.Agreement, leadName("h", i)
		}
	}
	if worst < mergedAgreement {
		a.find("clock", commutation.Data, lead, fmt.Sprintf("%s does not fit the others that were taken for the same moment: it has the wrong level for %.1f %% of the turning; its file is of another spin, or it misses pulses", lead, 100*(1-worst)),
			"see which files are of one spin")
	}
	if speed := a.result.Speed; a.fit == nil && speed.FastestHz-speed.SlowestHz < steadyRange*speed.MeanHz && !a.placedNone() {
		a.sameMoment()
	}
}

// sameMoment says that nothing shows that joined files are of one moment.
func (a *analysis) sameMoment() {
	a.find("clock", commutation.Data, "", "the files have one time column, but at a constant speed nothing shows that they were recorded at the same moment",
		"record all channels in one go, or spin by hand so that the speed varies")
}
