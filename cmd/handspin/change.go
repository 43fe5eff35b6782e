package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"handspin/capture/synth"
)

// flag adds a flag whose value is a change of the configuration.
func (p *plan) flag(set *pflag.FlagSet, name, kind, usage string, parse func(string) (change, error)) {
	set.Var(&value[change]{kind: kind, parse: func(text string) (change, error) {
		c, err := parse(text)
		if err == nil {
			p.changes = append(p.changes, c)
		}
		return c, err
	}}, name, usage)
}

// The functions below return parsers of a flag's text, by the change that the
// flag makes.

func number(set func(*synth.Config, float64)) func(string) (change, error) {
	return func(text string) (change, error) {
		x, err := parseNumber(text)
		return func(c *synth.Config) { set(c, x) }, err
	}
}

func parseNumber(text string) (float64, error) {
	x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%q is not a number", text)
	}
	return x, nil
}

func whole(set func(*synth.Config, int)) func(string) (change, error) {
	return func(text string) (change, error) {
		n, err := strconv.Atoi(text)
		if err != nil {
			err = fmt.Errorf("%q is not a whole number", text)
		}
		return func(c *synth.Config) { set(c, n) }, err
	}
}

// parseNumbers reads n numbers with commas between them.
func parseNumbers(text string, n int) ([]float64, error) {
	parts := strings.Split(text, ",")
	if len(parts) != n {
		return nil, fmt.Errorf("%d numbers are needed, with commas between them", n)
	}
	out := make([]float64, n)
	for i, part := range parts {
		var err error
		if out[i], err = parseNumber(part); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func two(set func(*synth.Config, [2]float64)) func(string) (change, error) {
	return func(text string) (change, error) {
		x, err := parseNumbers(text, 2)
		if err != nil {
			return nil, err
		}
		return func(c *synth.Config) { set(c, [2]float64(x)) }, nil
	}
}

func three(set func(*synth.Config, [3]float64)) func(string) (change, error) {
	return func(text string) (change, error) {
		x, err := parseNumbers(text, 3)
		if err != nil {
			return nil, err
		}
		return func(c *synth.Config) { set(c, [3]float64(x)) }, nil
	}
}

// inOrder reads the digits 1 2 3 in some order.
func inOrder(set func(*synth.Config, [3]int)) func(string) (change, error) {
	return func(text string) (change, error) {
		var order [3]int
		var seen [3]bool
		for i, r := range text {
			n := int(r - '1')
			if len(text) != 3 || n < 0 || n > 2 || seen[n] {
				return nil, fmt.Errorf("%q is not the digits 1 2 3 in some order", text)
			}
			order[i], seen[n] = n, true
		}
		if text == "" {
			return nil, errors.New("the digits 1 2 3 in some order are needed")
		}
		return func(c *synth.Config) { set(c, order) }, nil
	}
}

// parseLead reads p1 to p3 or h1 to h3, of one letter.
func parseLead(letter byte, text string) (int, error) {
	text = strings.TrimSpace(text)
	if len(text) != 2 || text[0] != letter || text[1] < '1' || text[1] > '3' {
		return 0, fmt.Errorf("%q is not one of %c1 %c2 %c3", text, letter, letter, letter)
	}
	return int(text[1] - '1'), nil
}

func leads(letter byte, set func(*synth.Config, int)) func(string) (change, error) {
	return func(text string) (change, error) {
		var chosen [3]bool
		for entry := range strings.SplitSeq(text, ",") {
			i, err := parseLead(letter, entry)
			if err != nil {
				return nil, err
			}
			chosen[i] = true
		}
		return func(c *synth.Config) {
			for i, yes := range chosen {
				if yes {
					set(c, i)
				}
			}
		}, nil
	}
}

func leadNumbers(letter byte, set func(*synth.Config, int, float64)) func(string) (change, error) {
	return func(text string) (change, error) {
		given := map[int]float64{}
		for entry := range strings.SplitSeq(text, ",") {
			key, x, err := parsePair(entry)
			if err != nil {
				return nil, err
			}
			i, err := parseLead(letter, key)
			if err != nil {
				return nil, err
			}
			given[i] = x
		}
		return func(c *synth.Config) {
			for i, x := range given {
				set(c, i, x)
			}
		}, nil
	}
}

// parsePair reads KEY=NUMBER.
func parsePair(text string) (key string, x float64, err error) {
	key, number, ok := strings.Cut(text, "=")
	if !ok {
		return "", 0, fmt.Errorf("%q is not of the form KEY=NUMBER", text)
	}
	x, err = parseNumber(number)
	return key, x, err
}

func sensors(set func(*synth.Sensor)) func(string) (change, error) {
	return leads('h', func(c *synth.Config, i int) { set(&c.Motor.Sensors[i]) })
}

func sensorNumbers(set func(*synth.Sensor, float64)) func(string) (change, error) {
	return leadNumbers('h', func(c *synth.Config, i int, x float64) { set(&c.Motor.Sensors[i], x) })
}

func parseHarmonics(text string) (change, error) {
	harmonics := map[int]float64{}
	for entry := range strings.SplitSeq(text, ",") {
		key, x, err := parsePair(entry)
		if err != nil {
			return nil, err
		}
		n, err := strconv.Atoi(strings.TrimSpace(key))
		if err != nil {
			return nil, fmt.Errorf("%q is not the order of a harmonic", key)
		}
		harmonics[n] = x
	}
	return func(c *synth.Config) { c.Motor.Harmonics = harmonics }, nil
}

// pushes reads COUNTxHZ.
func pushes(spin func(c *synth.Config, n int, hz float64) synth.Spin) func(string) (change, error) {
	return func(text string) (change, error) {
		count, speed, ok := strings.Cut(text, "x")
		n, err := strconv.Atoi(count)
		if !ok || err != nil || n < 1 || n > 1000 {
			return nil, fmt.Errorf("%q is not of the form COUNTxHZ, as in 4x12", text)
		}
		hz, err := parseNumber(speed)
		return func(c *synth.Config) { c.Spin = spin(c, n, hz) }, err
	}
}

func parseKind(text string) (synth.Kind, error) {
	for k := range synth.Kinds {
		if k.String() == text {
			return k, nil
		}
	}
	return 0, fmt.Errorf("it is one of %s", kindNames())
}

func kindNames() string {
	var names []string
	for k := range synth.Kinds {
		names = append(names, k.String())
	}
	return strings.Join(names, ", ")
}

func parseReference(text string) (change, error) {
	for r := range synth.Differences + 1 {
		if r.String() == text {
			return func(c *synth.Config) { c.FrontEnd.Reference = r }, nil
		}
	}
	return nil, fmt.Errorf("it is one of %s", referenceNames())
}

func referenceNames() string {
	var names []string
	for r := range synth.Differences + 1 {
		names = append(names, r.String())
	}
	return strings.Join(names, ", ")
}

func parseEdgeRows(text string) (change, error) {
	if text != "yes" && text != "no" {
		return nil, errors.New("it is yes or no")
	}
	return func(c *synth.Config) { c.FrontEnd.EdgeRows = text == "yes" }, nil
}
