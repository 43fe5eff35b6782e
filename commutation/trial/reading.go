package trial

import (
	"fmt"
	"strings"

	"handspin/commutation"
)

// Reading is what the controller was seen to drive at a state of its inputs.
type Reading struct {
	State commutation.State
	Drive commutation.Drive
}

// ParseReading reads the levels at HU HV HW and the terminals driven high and
// low there, as in "101=U+V-".
func ParseReading(text string) (Reading, error) {
	state, drive, ok := strings.Cut(text, "=")
	if !ok {
		return Reading{}, fmt.Errorf("reading %.24q is not of the form 101=U+V-", text)
	}
	drive = strings.ToUpper(drive)
	var r Reading
	var err error
	if r.State, err = commutation.ParseState(state); err != nil {
		return Reading{}, err
	}
	r.Drive, err = parseDrive(drive)
	return r, err
}

// parseDrive reads one terminal with + and another with -, in either order; a
// third that floats may follow as W0.
func parseDrive(text string) (d commutation.Drive, err error) {
	bad := fmt.Errorf("drive %.24q does not name one terminal high and another low, as in U+V- or U+V-W0", text)
	if len(text) != 4 && len(text) != 6 {
		return d, bad
	}
	given := map[byte]commutation.Terminal{}
	for i := 0; i < len(text); i += 2 {
		terminal, err := commutation.ParseTerminal(text[i : i+1])
		if err != nil {
			return d, err
		}
		for _, other := range given {
			if other == terminal {
				return d, bad
			}
		}
		given[text[i+1]] = terminal
	}
	high, isHigh := given['+']
	low, isLow := given['-']
	_, floats := given['0']
	if !isHigh || !isLow || len(text) == 6 && !floats {
		return d, bad
	}
	return commutation.Drive{High: high, Low: low}, nil
}

// String returns the form that [ParseReading] reads.
func (r Reading) String() string { return fmt.Sprintf("%v=%v+%v-", r.State, r.Drive.High, r.Drive.Low) }

// misread is how often people misread what a controller drives at a state, or
// set another state than they think, from common experience. It may then be any
// of the six drives, as it may with a controller of no known table.
const (
	misread = 0.03
	anyOne  = 1.0 / 6
)

// likelihood returns how probable the reading is if the controller has table t.
func (r Reading) likelihood(t commutation.DriveTable) float64 {
	if r.fits(t) {
		return 1 - misread + misread*anyOne
	}
	return misread * anyOne
}

// fits reports whether a table drives what was read.
func (r Reading) fits(t commutation.DriveTable) bool {
	d, ok := t.At(r.State)
	return ok && d == r.Drive
}
