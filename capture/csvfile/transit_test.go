package csvfile

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// turned are samples of a rotor that speeds up from rest to fast electrical turns a
// second and slows down again within a second at 2 kHz: its angle is that of a
// speed of fast sin^2(pi t).
func turned(fast float64, value func(angle, speed float64) float64) (out []float64) {
	for i := range 2000 {
		t := float64(i) / 2000
		angle := math.Pi * fast * (t - math.Sin(2*math.Pi*t)/(2*math.Pi))
		out = append(out, value(angle, fast*math.Pow(math.Sin(math.Pi*t), 2)))
	}
	return out
}

// lagged passes values through a resistor and a capacitor of so many samples.
func lagged(values []float64, samples float64) []float64 {
	v := values[0]
	for i, x := range values {
		v += (x - v) * (1 - math.Exp(-1/samples))
		values[i] = v
	}
	return values
}

func sensor(angle, _ float64) float64 {
	if math.Sin(angle) > 0 {
		return 5
	}
	return 0
}

// TestSlowEdges: with 30 turns a second a half turn is 33 samples; a capacitor of
// 6 is 0.18 of that. Waves are not switched lines, whatever is cut off them: also
// where what is left swings within a sample or two, the slow ones take more of those.
func TestSlowEdges(t *testing.T) {
	cut := func(by float64) func(angle, speed float64) float64 {
		return func(angle, speed float64) float64 {
			return max(-by, min(by, 0.2*speed*math.Sin(angle)))
		}
	}
	for _, c := range []struct {
		name   string
		values []float64
		want   bool
	}{
		{"clean", turned(30, sensor), true},
		{"a capacitor of 3 samples", lagged(turned(30, sensor), 3), true},
		{"a capacitor of 6 samples", lagged(turned(30, sensor), 6), true},
		{"back-EMF", turned(30, cut(99)), false},
		{"cut at half its height", turned(30, cut(3)), false},
		{"cut at a sixth", turned(30, cut(1)), false},
		{"cut at a tenth", turned(30, cut(0.6)), false},
		{"cut at a twentieth of few samples", turned(90, cut(0.9)), false},
		{"a linear sensor", turned(30, func(angle, _ float64) float64 { return 2.5 + 2*math.Sin(angle) }), false},
		{"a trapezoid", turned(30, func(angle, _ float64) float64 { return max(-1, min(1, 2*math.Sin(angle))) }), false},
	} {
		if got, _ := twoLevels(c.values).switched(c.values); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// TestRestBefore: the rows that decide what a column is are of the whole file, also
// where more than those first looked at are of a rotor at rest.
func TestRestBefore(t *testing.T) {
	text := strings.Builder{}
	text.WriteString("Time (s),CH1 (V),CH2 (V),CH3 (V),CH4 (mV),CH5 (mV),CH6 (mV)\n")
	third := 2 * math.Pi / 3
	for i := range 2 * factRows {
		angle, speed := 0.0, 0.0
		if i > factRows {
			angle, speed = float64(i-factRows)/100, 1
		}
		fmt.Fprintf(&text, "%.5f", float64(i)/1e5)
		for k := range 3 {
			fmt.Fprintf(&text, ",%.2f", speed*math.Sin(angle+third*float64(k)))
		}
		for k := range 3 {
			fmt.Fprintf(&text, ",%.0f", 1000*sensor(angle+third*float64(k), 0))
		}
		text.WriteString("\n")
	}
	rec, err := Parse([]byte(text.String()), "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(rec.Columns) != 3 || rec.Columns[0].Source != "CH1" || !rec.Swings[2].Known {
		t.Errorf("columns %v, swings %v; want three of phases and three of levels", rec.Columns, rec.Swings)
	}
}

// TestSupplyBeside: a fourth voltage that stands still is no phase.
func TestSupplyBeside(t *testing.T) {
	text := strings.Builder{}
	text.WriteString("Time (s),Vcc (V),U (V),V (V),W (V),Ha,Hb,Hc\n")
	for i := range 200 {
		a := float64(i) / 10
		fmt.Fprintf(&text, "%d,4.9%d,%.2f,%.2f,%.2f,%d,%d,%d\n", i, i%2, math.Sin(a), math.Sin(a-2), math.Sin(a+2), i/10%2, i/7%2, i/9%2)
	}
	rec, err := Parse([]byte(text.String()), "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(rec.Columns[0].Source, len(rec.Columns)); got != "U3" || !strings.Contains(strings.Join(rec.Notes, "|"), `columns that are not used: "Vcc"`) {
		t.Errorf("%s, notes %v", got, rec.Notes)
	}
}
