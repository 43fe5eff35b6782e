package csvfile

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// Instruments' files beyond those in testdata/shapes: how they go together with
// the person's flags and with damage. Rows are written as in TestShapes.
var instruments = []shape{
	{name: "columns by name: time is found, its unit is in the row of units",
		text: "Time,CH1,CH2,CH3\nms,V,mV,V\n0,0.5,100,1\n1,0.6,200,1\n2,0.7,300,1\n", opt: Options{Columns: "p2=CH1,p1=ch2"},
		rows: "0 xxx 0.1 0.5\n0.001 xxx 0.2 0.6\n0.002 xxx 0.3 0.7", scale: 1},
	{name: "columns by number: the given unit stands before the file's",
		text: "Time,CH1\ns,V\n0,500\n1,600\n2,700\n", opt: Options{Columns: "t=1:ms,p1=2:mV"},
		rows: "0 xxx 500\n0.001 xxx 600\n0.002 xxx 700", scale: 0.001},
	{name: "a name with its unit", text: "Time (s),A (V)\n0,1\n1,2\n2,3\n", opt: Options{Columns: "p12=A (V)"}, rows: "0 xxx 1\n1 xxx 2\n2 xxx 3", scale: 1},
	{name: "settings beside the rows and a chosen lead",
		text: "Source,CH1,,0.0,1.0,\nVertical Units,mV,,0.1,2.0,\nHorizontal Units,s,,0.2,3.0,\n,,,0.3,4.0,\n,,,0.4,5.0,\n,,,0.5,6.0,\n", opt: Options{Columns: "p23=CH1"},
		rows: "0 xxx 1\n0.1 xxx 2\n0.2 xxx 3\n0.3 xxx 4\n0.4 xxx 5\n0.5 xxx 6", scale: 0.001},
	{name: "names of the format without a time that it knows", text: "Sample interval,1ms\nSample,h3,h1,h2,p1\n1,0,1,0,0.5\n2,1,1,0,0.5\n3,1,0,0,1.5\n",
		rows: "0 100 0.5\n0.001 101 0.5\n0.002 001 1.5", scale: 1,
		notes: `"Sample" counts the rows, which are 0.001 s apart, as the file says|` + volts + "|lines before the rows that are not used: 1"},
	{name: "a rate instead of an unknown time", text: "Time,CH1 (V)\n0,1\n0,2\n1,3\n", opt: Options{SampleRate: 4}, rows: "0 xxx 1\n0.25 xxx 2\n0.5 xxx 3", scale: 1,
		notes: "by their order the columns are taken: CH1 for p1; --columns says otherwise"},
	{name: "a damaged row between the names and the rows, one within, and words at the end",
		text: "Time (s),CH1 (V)\n0,1\n1,x\n2,3\n3,4\n4,5\n5,6,7\n6,7\nend of file\n", rows: "0 xxx 1\n2 xxx 3\n3 xxx 4\n4 xxx 5\n6 xxx 7", scale: 1,
		bad:   `3:3: CH1 is not a number: "x"|7:5: the row has 3 cells, not 2`,
		notes: "by their order the columns are taken: CH1 for p1; --columns says otherwise|lines among the rows or after them that have no number: 1"},
	{name: "the names again between the rows", text: "Time (s),CH1 (V)\n0,1\n1,2\n2,3\nTime (s),CH1 (V)\n3,4\n", rows: "0 xxx 1\n1 xxx 2\n2 xxx 3\n3 xxx 4", scale: 1,
		notes: "by their order the columns are taken: CH1 for p1; --columns says otherwise"},
	{name: "a time without name or unit, known from the interval", text: "Interval,0\nSample Interval,2ms\n0,0.5\n2,1.5\n4,0.5\n6,0.5\n", rows: "0 xxx 0.5\n0.002 xxx 1.5\n0.004 xxx 0.5\n0.006 xxx 0.5", scale: 1,
		notes: "column 1 is taken for the time, since it goes up by steady steps|by their order the columns are taken: column 2 for p1; --columns says otherwise|" +
			`the time column "column 1" is taken for ms, since no other unit fits|` + volts + "|lines before the rows that are not used: 2"},
	{name: "many times repeat without an interval", text: "Time (s),CH1 (V)\n0.1,1\n0.1,3\n0.2,2\n0.2,1\n0.2,2\n0.3,5\n0.3,4\n",
		rows: "0 xxx 1\n0.0333333333333 xxx 3\n0.0666666666667 xxx 2\n0.1 xxx 1\n0.133333333333 xxx 2\n0.166666666667 xxx 5\n0.2 xxx 4", scale: 1,
		notes: "by their order the columns are taken: CH1 for p1; --columns says otherwise|many times repeat; the rows are put 0.0333333 s apart"},
	{name: "many times repeat unevenly", text: "Time (s),CH1 (V)\n0,1\n0,3\n0,2\n0,1\n0,2\n1,5\n2,4\n3,1\n",
		rows: "0 xxx 1\n0 xxx 3\n0 xxx 2\n0 xxx 1\n0 xxx 2\n1 xxx 5\n2 xxx 4\n3 xxx 1", scale: 1,
		notes: "by their order the columns are taken: CH1 for p1; --columns says otherwise|many times repeat, but the rows are not evenly apart; they are left as they are"},
	{name: "one torn row with more cells", text: "Time (s),CH1 (V),CH2 (V)\n0,1,2\n1,2,2\n2,3,2\n3,4,24,5,2\n5,6,2\n6,7,2\n", rows: "0 xxx 1 2\n1 xxx 2 2\n2 xxx 3 2\n5 xxx 6 2\n6 xxx 7 2", scale: 1,
		bad: "5:8: the row has 5 cells, not 3", notes: "by their order the columns are taken: CH1 for p1, CH2 for p2; --columns says otherwise"},
	{name: "a column of amperes is not used", text: "Time (s),CH1 (V),CH2 (A)\n0,1,9\n1,2,9\n2,3,9\n", rows: "0 xxx 1\n1 xxx 2\n2 xxx 3", scale: 1,
		notes: `by their order the columns are taken: CH1 for p1; --columns says otherwise|columns that are not used: "CH2"; --columns can say what they are`},
	{name: "bits of a decimal word", text: "time_s,w\n0,4\n1,0x6\n2,0b10\n3,\n4,3\n", opt: Options{Columns: "t=time,h1=w.2,h2=w.1,h3=2.0"},
		rows: "0 100 e\n1 110 e\n2 010 e\n4 011 e", bad: "5:1: the row has neither Hall levels nor phase values", notes: changes},
	{name: "a code in octal digits", text: "time_s,w\n0,004\n1,6\n2,2\n", opt: Options{Columns: "t=time,hall_code=w:oct"}, rows: "0 100 e\n1 110 e\n2 010 e", notes: changes},
	{name: "channels one after the other with a damaged value, chosen by name",
		text: "#CHANNEL:CH1\n#CLOCK=1mS\n#UNITS:V\n0.5\n0.7x\n0.6\n0.5\n#CHANNEL:CH2\n#CLOCK=1mS\n0\n1\n1\n0\n", opt: Options{Columns: "p1=CH1,h1=CH2"},
		rows: "0 0xx 0.5\n0.001 1xx -\n0.002 1xx 0.6\n0.003 0xx 0.5", scale: 1, bad: `5:1: CH1 is not a number: "0.7x"`,
		notes: "there is no time column; the rows are 0.001 s apart, as the file says"},
}

func TestInstruments(t *testing.T) {
	for _, s := range instruments {
		t.Run(s.name, func(t *testing.T) {
			rec, err := Parse([]byte(s.text), "f", s.opt)
			if err != nil {
				t.Fatalf("%v\n%s", err, hintOf(err))
			}
			for i, v := range rec.Time { // rows put evenly apart have thirds
				rec.Time[i] = math.Round(v*1e15) / 1e15
				rec.Time[i] = rounded(rec.Time[i])
			}
			if got := printRows(rec); got != s.rows {
				t.Errorf("rows\n%s\nwant\n%s", got, s.rows)
			}
			var bad []string
			for _, d := range rec.Damage {
				bad = append(bad, strings.TrimPrefix(d.Error(), "f:"))
			}
			if got := strings.Join(bad, "|"); got != s.bad || rec.BadRows != len(bad) {
				t.Errorf("%d bad rows\n%s\nwant\n%s", rec.BadRows, got, s.bad)
			}
			if got := strings.Join(rec.Notes, "|"); got != s.notes || rec.VoltsPerUnit != s.scale {
				t.Errorf("%g V per unit, notes\n%s\nwant %g\n%s", rec.VoltsPerUnit, got, s.scale, s.notes)
			}
			checkSound(t, rec)
		})
	}
}

// rounded leaves twelve digits, which hide the rounding of sums.
func rounded(v float64) float64 {
	var out float64
	fmt.Sscanf(fmt.Sprintf("%.12g", v), "%g", &out)
	return out
}

const say = "say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "

// Files of instruments that are refused. Positions are counted by hand.
var badInstruments = []struct {
	name, text string
	opt        Options
	want, hint string
}{
	{name: "no time and no rate", text: "CH1 (V),CH2 (V)\n1,2\n3,1\n2,2\n", want: "f:1:1: there is no time column", hint: "give --sample-rate HZ, or name it: " + say + `"CH1 (V)" "CH2 (V)"`},
	{name: "rows that are counted, no rate", text: "Index,CH1 (V)\n1,2\n2,1\n3,2\n", want: "f:1:1: there is no time column", hint: "give --sample-rate HZ, or name it: " + say + `"Index" "CH1 (V)"`},
	{name: "two lines of levels", text: "Time (s),D0,D1\n0,1,0\n1,1,1\n2,0,1\n", want: "f:1:1: which column is which lead cannot be told: that takes three of Hall levels or none, and up to three of phases, and here are 2 and 0",
		hint: say + `"Time (s)" "D0" "D1"`},
	{name: "only a time", text: "x\nTime (s)\n0\n1\n2\n", want: "f:2:1: which column is which lead cannot be told: that takes three of Hall levels or none, and up to three of phases, and here are 0 and 0",
		hint: say + `"Time (s)"`},
	{name: "one switched voltage", text: "Time (s),CH1 (V)\n" + switched(60), want: "f:1:1: which column is which lead cannot be told: that takes three of Hall levels or none, and up to three of phases, and here are 1 and 0",
		hint: say + `"Time (s)" "CH1 (V)"`},
	{name: "levels that are none later on", text: "Time (s),A,B,C\n" + levelsThen(20_001, "2,0,1"), want: "f:1:1: which column is which lead cannot be told: that takes three of Hall levels or none, and up to three of phases",
		hint: say + `"Time (s)" "A" "B" "C"`},
	{name: "names of the format twice", text: "Sample interval,1ms\nSample,p1,P1\n1,0,1\n2,1,1\n3,1,0\n", want: `f:2:1: columns "p1" and "P1" are both p1`, hint: say + `"Sample" "p1" "P1"`},
	{name: "no unit of time would fit", text: "Time,CH1 (V)\n0,1\n1,2\n2,3\n", want: `f:1:1: the time column "Time" has no unit, and none would fit`,
		hint: "give it with --columns 't=NAME:unit', the unit one of s ms us ns"},
	{name: "channels of two rates", text: "#CHANNEL:CH1\n#CLOCK=1mS\n1\n2\n3\n#CHANNEL:CH2\n#CLOCK=2mS\n1\n2\n3\n", want: "f:6:1: the channels are sampled at different rates", hint: "save channels of one rate only"},
	{name: "channels without a rate", text: "#CHANNEL:CH1\n1\n2\n3\n", want: "f:1:1: nothing says how far apart the values are", hint: "give --sample-rate HZ"},
	{name: "a channel without values", text: "#CHANNEL:CH1\n#CLOCK=1mS\n", want: "f:1:1: there are not enough values below the channel's name"},
	{name: "a channel that is not there", text: "#CHANNEL:CH1\n#CLOCK=1mS\n1\n2\n3\n", opt: Options{Columns: "p1=CH2"},
		want: "--columns: a channel that it names is not there, or is named twice", hint: `in f the channels are "CH1"`},
	{name: "a mapping of channels without its form", text: "#CHANNEL:CH1\n#CLOCK=1mS\n1\n2\n3\n", opt: Options{Columns: "CH1"},
		want: `--columns: "CH1" is not of the form KEY=NAME or KEY=NAME:unit`, hint: `in f the channels are "CH1"`},
	{name: "a base where a unit of volts belongs", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s,p1=B:hex"}, want: `--columns: the unit "hex" of p1 is not one of V mV uV kV`, hint: `in f the columns are "A" "B"`},
	{name: "no bit of a word", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s,h1=B.x"}, want: `--columns: there is no column "B.x" for h1`, hint: `in f the columns are "A" "B"`},
	{name: "one bit twice", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s,h1=B.1,h2=B.1"}, want: `--columns: column "B" is used twice, for h1 and h2`, hint: `in f the columns are "A" "B"`},
	{name: "a word that is none", text: "A,B\n0,q\n1,q\n2,1\n", opt: Options{Columns: "t=A:s,h1=B.1"}, want: `f:2:3: B is not a word of bits: "q" (2 of 3 rows cannot be read)`, hint: say + `"A" "B"`},
	{name: "300,000 columns", text: strings.Repeat(strings.Repeat("1,", 300_000)+"1\n", 4), want: "f:1:1: the line has more than 10000 cells", hint: "save the columns of the leads and the time alone"},
	{name: "a million columns", text: strings.Repeat(strings.Repeat("1,", 1_000_000)+"1\n", 2), want: "f:1:1: the line is longer than 1 MiB", hint: "a recording is a CSV file with one row per line"},
}

// levelsThen is n rows of levels and one of something else.
func levelsThen(n int, last string) string {
	var text strings.Builder
	for i := range n {
		fmt.Fprintf(&text, "%d,0,%d,1\n", i, i/10%2)
	}
	fmt.Fprintf(&text, "%d,%s\n", n, last)
	return text.String()
}

// switched is rows of a time and a voltage with two levels.
func switched(n int) string {
	var text strings.Builder
	for i := range n {
		fmt.Fprintf(&text, "%d,%g\n", i, []float64{0.1, 4.9}[i/10%2])
	}
	return text.String()
}

func TestBadInstruments(t *testing.T) {
	for _, c := range badInstruments {
		t.Run(c.name, func(t *testing.T) {
			rec, err := Parse([]byte(c.text), "f", c.opt)
			if err == nil {
				t.Fatalf("read %d rows, %q", rec.Rows(), rec.Notes)
			}
			if err.Error() != c.want || hintOf(err) != c.hint {
				t.Errorf("%s\n%s\nwant\n%s\n%s", err, hintOf(err), c.want, c.hint)
			}
		})
	}
}

func TestQuantities(t *testing.T) {
	for text, want := range map[string]float64{"5.00uS": 5e-6, "2 ms": 2e-3, "Analog:5.0E-05": 5e-5, "0.000020S": 2e-5, "4": 4, "10 µs": 1e-5} {
		if got, ok := seconds(text); !ok || math.Abs(got-want) > 1e-12*want {
			t.Errorf("%s is %g s", text, got)
		}
	}
	for text, want := range map[string]float64{"1 MHz": 1e6, "250MSa/s": 250e6, "20kHz": 20e3, "1e4 Hz": 1e4, "1000": 1000} {
		if got, ok := hertz(text); !ok || got != want {
			t.Errorf("%s is %g Hz", text, got)
		}
	}
	for _, text := range []string{"", "s", "5 V", "5 m", strings.Repeat("1", 100)} {
		if v, ok := seconds(text); ok {
			t.Errorf("%q is %g s", text, v)
		}
	}
}

// A start that stands beside the rows or above them counts where rows are counted,
// so that files of one moment can be told from those of another.
func TestStart(t *testing.T) {
	for text, want := range map[string]float64{
		"X,CH1,Start,Increment,\nSequence,Volt,-1.0E-02,1.0E-03,\n0,1.2,\n1,1.1,\n2,1.3,\n": -0.01,
		"X,CH1,Start,Increment,\nSequence,Volt,2.5,1.0E-03,\n4,1.2,\n5,1.1,\n6,1.3,\n":      2.504, // the row 4 is the first
		"Start Time,5ms\nSample Interval,1ms\nCH1 (V)\n1.2\n1.1\n1.3\n":                     0.005,
		"Start Time,10:20:30\nSample Interval,1ms\nCH1 (V)\n1.2\n1.1\n1.3\n":                0,
		"Start,7\nTime (s),CH1 (V)\n1,1.2\n2,1.1\n3,1.3\n":                                  1, // the column says it
	} {
		rec, err := Parse([]byte(text), "f", Options{})
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if math.Abs(rec.Start-want) > 1e-12 || rec.Time[0] != 0 { // sums of a few decimals
			t.Errorf("%q starts at %g, want %g", text, rec.Start, want)
		}
	}
}
