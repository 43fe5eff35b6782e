package csvfile

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// steps writes n rows, of which cell gives the time of each, with a wave as p1.
func steps(head string, n int, cell func(i int) string) string {
	var text strings.Builder
	text.WriteString(head)
	for i := range n {
		fmt.Fprintf(&text, "%s,%.4f\n", cell(i), math.Sin(float64(i)/9))
	}
	return text.String()
}

// Every usual spelling of a unit is understood: of times half a millisecond apart,
// and of volts.
func TestUnits(t *testing.T) {
	for name, perSecond := range map[string]float64{"s": 1, "Sec.": 1, "seconds": 1, "Sek": 1, "ms": 1e3, "mSec": 1e3, "milliseconds": 1e3,
		"us": 1e6, "uSec": 1e6, "µs": 1e6, "μs": 1e6, "\xb5s": 1e6, "microseconds": 1e6, "ns": 1e9, "nsec": 1e9} {
		text := steps("Time ("+name+"),CH1 (V)\n", 50, func(i int) string { return fmt.Sprintf("%.7g", 0.0005*float64(i)*perSecond) })
		rec, err := Parse([]byte(text), "f", Options{})
		if err != nil || math.Abs(rec.Seconds()-0.0245) > 1e-9 {
			t.Errorf("%q: %v", name, err)
		}
	}
	for name, volts := range map[string]float64{"V": 1, "Volts": 1, "VDC": 1, "mV": 1e-3, "mVolt": 1e-3, "millivolts": 1e-3, "uV": 1e-6, "µV": 1e-6, "kV": 1e3} {
		text := steps("Time (s),CH1 ("+name+")\n", 50, func(i int) string { return fmt.Sprintf("%.4f", 0.0005*float64(i)) })
		rec, err := Parse([]byte(text), "f", Options{})
		if err != nil || rec.VoltsPerUnit != volts {
			t.Errorf("%q: %v, want %g V", name, err, volts)
		}
	}
}

// A time of day is turned into seconds, over midnight too.
func TestTimesOfDay(t *testing.T) {
	for name, cell := range map[string]func(seconds float64) string{
		"clock": func(v float64) string {
			return fmt.Sprintf("%02d:%02d:%06.3f", int(v)/3600%24, int(v)/60%60, math.Mod(v, 60))
		},
		"with date": func(v float64) string {
			return fmt.Sprintf("2031-05-01T%02d:%02d:%06.3fZ", int(v)/3600%24, int(v)/60%60, math.Mod(v, 60))
		},
		"colon": func(v float64) string {
			return strings.Replace(fmt.Sprintf("%02d:%02d:%06.3f", int(v)/3600%24, int(v)/60%60, math.Mod(v, 60)), ".", ":", 1)
		},
	} {
		// From 10 ms before midnight on, a millisecond apart.
		text := steps("Time,CH1\n", 50, func(i int) string { return cell(86399.99 + 0.001*float64(i) + 1e-7) })
		rec, err := Parse([]byte(text), "f", Options{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		// The numbers near 86,400 have rounding errors of 1.5e-11.
		if rec.Rows() != 50 || math.Abs(rec.Seconds()-0.049) > 1e-9 {
			t.Errorf("%s: %d rows, %g s", name, rec.Rows(), rec.Seconds())
		}
	}
}

// Words for levels are levels; names of columns that are such words stay names.
func TestLevelWords(t *testing.T) {
	for _, words := range [][2]string{{"LOW", "HIGH"}, {"false", "true"}, {"L", "H"}, {"Off", "On"}} {
		text := "t_ms,h1,h2,h3\n"
		for i := range 12 {
			text += fmt.Sprintf("%d,%s,%s,%s\n", i, words[i%2], words[i/2%2], words[1])
		}
		rec, err := Parse([]byte(text), "f", Options{})
		if err != nil {
			t.Errorf("%v: %v", words, err)
			continue
		}
		for i, l := range rec.Hall {
			if want := fmt.Sprintf("%d%d1", i%2, i/2%2); l.String() != want {
				t.Errorf("%v: row %d is %s, want %s", words, i, l, want)
			}
		}
	}
	rec, err := Parse([]byte(steps("Time (s),High\n", 20, func(i int) string { return fmt.Sprint(0.001 * float64(i)) })), "f", Options{})
	if err != nil || rec.Columns[0].Source != "High" {
		t.Errorf("%v", err)
	}
}

// Rows out of order are put in it where they are evenly apart, and refused where
// nothing says that they belong so; one after another in segments they stay.
func TestOrderOfRows(t *testing.T) {
	const n = 200
	shuffled := func(i int) float64 { return float64(i * 77 % n) } // 77 and 200 have no common divisor
	for name, c := range map[string]struct {
		time func(i int) float64
		err  string
	}{
		"shuffled": {shuffled, ""},
		"backward": {func(i int) float64 { return float64(n - i) }, ""},
		"uneven":   {func(i int) float64 { return shuffled(i) * shuffled(i) }, "f:3:1: the rows are not in the order of time, and sorted they are not evenly apart"},
	} {
		rec, err := Parse([]byte(steps("Time (ms),CH1 (V)\n", n, func(i int) string { return fmt.Sprint(c.time(i)) })), "f", Options{})
		switch {
		case c.err == "" && (err != nil || rec.Rows() != n || rec.BadRows != 0 || math.Abs(rec.Seconds()-0.199) > 1e-9):
			t.Errorf("%s: %v", name, err)
		case c.err != "" && (err == nil || !strings.Contains(err.Error(), strings.TrimPrefix(c.err, "f:3:1"))):
			t.Errorf("%s: %v, want %s", name, err, c.err)
		}
	}
	rec, err := Parse([]byte(steps("Time (ms),CH1 (V)\n", n, func(i int) string { return fmt.Sprint(i % 50) })), "f", Options{})
	if err != nil || rec.Rows() != n || rec.Seconds() < 3 {
		t.Errorf("segments: %v", err)
	}
}

// A unit that changes within the file is refused where it does.
func TestUnitChanges(t *testing.T) {
	change := func(i int) string {
		if i < 20 {
			return fmt.Sprintf("%.1f", 0.5*float64(i))
		}
		return fmt.Sprint(500 * i)
	}
	said := steps("Time (ms),CH1 (V)\n", 20, change) + steps("Time (us),CH1 (V)\n", 20, func(i int) string { return fmt.Sprint(10000 + 500*i) })
	for want, text := range map[string]string{
		"f:22:1: the unit of Time changes within the file from ms to us":      said,
		"f:22:1: the unit of time seems to change here: 10000 after 9.5, and": steps("Time (ms),CH1 (V)\n", 40, change),
	} {
		if _, err := Parse([]byte(text), "f", Options{}); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
}

// A word of Hall bits needs no t= where the names tell the time.
func TestWordsWithoutTime(t *testing.T) {
	for columns, cell := range map[string]string{"hall=DIO": "0x%02X", "hall=DIO:hex": "%02X", "hall_code=DIO": "0b%b", "hall=DIO:bin": "%03b"} {
		text := "Time(s),DIO\n"
		for i := range 16 {
			text += fmt.Sprintf("%.4f,"+cell+"\n", 0.001*float64(i), 1+i%6)
		}
		rec, err := Parse([]byte(text), "f", Options{Columns: columns})
		if err != nil {
			t.Errorf("%s: %v", columns, err)
			continue
		}
		for i, l := range rec.Hall {
			if want := fmt.Sprintf("%03b", 1+i%6); l.String() != want {
				t.Errorf("%s: row %d is %s, want %s", columns, i, l, want)
			}
		}
	}
}

// What cannot be read says why.
func TestWhyNot(t *testing.T) {
	joined := "Time(s),CH1,CH2\n"
	for i := range 60 {
		joined += strings.ReplaceAll(fmt.Sprintf("%g;%g;%g\n", 0.5*float64(i), 0.25*float64(i%7), 0.5*float64(i%5)), ".", ",")
	}
	word := "Time [s],Value\n"
	for i := range 60 {
		word += fmt.Sprintf("%g,%d\n", 0.01*float64(i), 1+i%6)
	}
	for want, text := range map[string]string{
		"f:2:1: the numbers have their units glued on":                    steps("Time,CH1\n", 20, func(i int) string { return fmt.Sprint(500*i, "us,x") }),
		"f:2:1: the comma parts cells and is the decimal mark too":        strings.ReplaceAll(joined, ";", ","),
		`f:1:1: column "Value" may be a word of Hall levels or a voltage`: word,
		`f:1:1: which column is which lead cannot be told: that takes three of Hall levels or none, and up to three of phases, and here are 0 and 0; "CH1" is in "div"`: steps("Time (s),CH1 (div)\n", 20, func(i int) string { return fmt.Sprint(0.001 * float64(i)) }),
	} {
		if _, err := Parse([]byte(text), "f", Options{}); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
}

// A row for each change, by the number of the sample, takes the rate of that.
func TestCountOfSamples(t *testing.T) {
	text := "Sample,D0,D1,D2\n"
	for i := range 30 {
		text += fmt.Sprintf("%d,%d,%d,1\n", 100*i*i, i%2, i/2%2)
	}
	rec, err := Parse([]byte(text), "f", Options{SampleRate: 1e6})
	if err != nil || math.Abs(rec.Seconds()-100e-6*29*29) > 1e-12 || !rec.Edge[3] {
		t.Fatalf("%v, %+v", err, rec)
	}
}
