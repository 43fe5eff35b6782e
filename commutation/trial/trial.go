package trial

import (
	"fmt"
	"strconv"
	"strings"

	"handspin/commutation"
)

// Trial is a wiring that was powered and what the person saw.
type Trial struct {
	Wiring  commutation.Wiring
	Outcome commutation.Behaviour
	// Amps is the supply current and RPM the speed without load; 0 where they
	// were not measured.
	Amps, RPM float64
}

// ParseWiring reads a wiring as [commutation.ParseWiring] does, in capitals or not.
func ParseWiring(text string) (commutation.Wiring, error) {
	return commutation.ParseWiring(strings.ToLower(strings.TrimSpace(text)))
}

// Parse reads a trial as a person writes it: wiring and outcome, then current
// and speed if measured, as in "p1p3p2/h2h1h3=weak-reverse,4.2A,900rpm".
func Parse(text string) (Trial, error) {
	wiring, rest, ok := strings.Cut(text, "=")
	if !ok {
		return Trial{}, fmt.Errorf("trial %.40q is not of the form WIRING=OUTCOME, as in p1p3p2/h2h1h3=weak-reverse", text)
	}
	var t Trial
	var err error
	if t.Wiring, err = ParseWiring(wiring); err != nil {
		return Trial{}, err
	}
	fields := strings.Split(rest, ",")
	if t.Outcome, err = ParseOutcome(strings.TrimSpace(fields[0])); err != nil {
		return Trial{}, err
	}
	for _, field := range fields[1:] {
		if err := t.measure(strings.TrimSpace(field)); err != nil {
			return Trial{}, err
		}
	}
	return t, nil
}

// measure reads a current or a speed, told apart by the unit.
func (t *Trial) measure(text string) (err error) {
	lower, into := strings.ToLower(text), &t.RPM
	number, ok := strings.CutSuffix(lower, "rpm")
	if !ok {
		into = &t.Amps
		number, ok = strings.CutSuffix(lower, "a")
	}
	switch {
	case ok && *into != 0:
		err = fmt.Errorf("%.24q is a second value of the same quantity", text)
	case ok:
		*into, err = Positive(number)
	default:
		err = fmt.Errorf("%.24q has neither the unit A nor rpm, as in 4.2A or 900rpm; decimals follow a point, not a comma", text)
	}
	return err
}

// Positive reads a positive number, as currents and speeds are.
func Positive(text string) (float64, error) {
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || !(x > 0 && x < 1e9) {
		if strings.Contains(text, ",") {
			return 0, fmt.Errorf("%.24q is not a positive number; decimals follow a point, as in 4.2", text)
		}
		return 0, fmt.Errorf("%.24q is not a positive number", text)
	}
	return x, nil
}
