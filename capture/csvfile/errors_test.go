package csvfile

import (
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"handspin/capture"
)

// Every input that cannot be understood, with its message and hint. Positions
// are counted by hand.
var bad = []struct {
	name, text string
	opt        Options
	want, hint string
}{
	{name: "empty", text: "", want: "f:1:1: the file is empty", hint: aRecording},
	{name: "blank", text: "\n\n", want: "f:3:1: there is no line of column names and no row", hint: aRecording},
	{name: "comments only", text: "# a: b\n", want: "f:2:1: there is no line of column names and no row", hint: aRecording},
	{name: "header only", text: "# a: b\nt_us,hall,p1\n", want: "f:2:1: there is no row after the column names", hint: aRecording},
	{name: "one row", text: "t_us,hall,p1\n0,101,1\n", want: "f:2:1: there is only one row", hint: aRecording},
	{name: "binary", text: "ab\x00\x01\x02\x03\x04\xff\xfe", want: "f:1:3: this is not text",
		hint: "a recording is a CSV file or the text that the board sends"},
	{name: "many cells", text: "t_us,hall\n" + strings.Repeat("1,", 10_000) + "\n", want: "f:2:1: the line has more than 10000 cells",
		hint: "save the columns of the leads and the time alone"},
	{name: "long line", text: "t_us,hall\n" + strings.Repeat("1", 1<<20+1) + "\n", want: "f:2:1: the line is longer than 1 MiB",
		hint: "a recording is a CSV file with one row per line"},
	{name: "other names", text: "# x\nX,CH1\n0,1\n1,2\n", want: "f:2:1: no column has a name of the recording format (t_us hall p1 p2 p3 ...)",
		hint: `say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "X" "CH1"`},
	{name: "no time", text: "hall,p1\n101,1\n", want: "f:1:1: there is no time column",
		hint: `give --sample-rate HZ, or name it: say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "hall" "p1"`},
	{name: "only time", text: "t_us,CH1\n0,1\n", want: "f:1:1: there is a time column, but no Hall and no phase column",
		hint: `say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "t_us" "CH1"`},
	{name: "column twice", text: "t_us,p1,P1\n0,1,1\n", want: `f:1:9: columns "p1" and "P1" are both p1`,
		hint: `say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "t_us" "p1" "P1"`},
	{name: "leads and differences", text: "t_us,p1,p12\n0,1,1\n", want: `f:1:9: columns "p1" and "p12" mix leads with differences of leads`,
		hint: `say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "t_us" "p1" "p12"`},
	{name: "two kinds of Hall columns", text: "t_us,h1,hall\n0,1,101\n", want: `f:1:9: columns "h1" and "hall" both give the Hall levels`,
		hint: `say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "t_us" "h1" "hall"`},
	{name: "time without unit", text: "t,hall\n0,101\n1,100\n", want: `f:1:1: the time column "t" has no unit, and none would fit`,
		hint: "give it with --columns 't=NAME:unit', the unit one of s ms us ns"},
	{name: "wrong unit", text: "t (min),hall\n0,101\n", want: `f:1:1: column "t (min)" has the unit "min", not one of s ms us ns`, hint: "say which with --columns"},
	{name: "unit of another kind", text: "t_us,p1 (s)\n0,1\n", want: `f:1:6: column "p1 (s)" has the unit "s", not one of V mV uV kV`, hint: "say which with --columns"},
	{name: "wrong unit in a unit row", text: "time,p1\n(s),(A)\n0,1\n", want: `f:2:5: column "p1" has the unit "A", not one of V mV uV kV`, hint: "give the unit with --columns"},
	{name: "other version", text: "# handspin-capture: 2\nx,y\n0,1\n", want: `f:1:21: format version "2", this program reads version 1`, hint: "a newer handspin may read it"},
	{name: "scale", text: "t_us,p1\n# volts_per_count: -1\n0,1\n", want: `f:2:20: volts_per_count is not a number of volts, not negative: "-1"`, hint: "correct the line or take it out"},
	{name: "skew", text: "#skew_us:0,1\nt_us,p1\n", want: `f:1:10: skew_us is not three numbers of microseconds: "0,1"`, hint: "correct the line or take it out"},
	{name: "skew number", text: "# skew_us: 0,1,x\nt_us,p1\n", want: `f:1:12: skew_us is not three numbers of microseconds: "0,1,x"`, hint: "correct the line or take it out"},
	{name: "lag", text: "# hall_lag_us: nan\nt_us,p1\n", want: `f:1:16: hall_lag_us is not a number of microseconds: "nan"`, hint: "correct the line or take it out"},
	{name: "pole pairs", text: "# pole_pairs: 0\nt_us,p1\n", want: `f:1:15: pole_pairs is not a whole number from 1 up: "0"`, hint: "correct the line or take it out"},
	{name: "leads", text: "# leads: p1=a,p2=a\nt_us,p1\n", want: `f:1:10: two leads are named "a"`, hint: "write it as # leads: p1=NAME,h1=NAME"},
	{name: "time stands still", text: "t_us,hall\n5,101\n5,100\n5,110\n", want: "f:3:1: time stands still in all 3 rows",
		hint: "name another time column with --columns 't=NAME:unit', or give --sample-rate HZ"},
	{name: "time runs backward", text: "t_us,hall\n5,101\n4,100\n3,110\n2,010\n", want: "f:3:1: time runs backward: 4 after 5 (3 of 4 rows cannot be read)",
		hint: `say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "t_us" "hall"`},
	{name: "time runs backward in samples and edges", text: "t_us,hall,p1\n5,101,\n4,101,1\n3,100,\n2,100,2\n1,110,\n", want: "f:4:1: time runs backward: 3 after 5 (3 of 5 rows cannot be read)",
		hint: `say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "t_us" "hall" "p1"`},
	{name: "no row can be read", text: "t_us,hall\n5,201\n6,301\n", want: `f:2:3: hall is not three digits 0 or 1: "201" (2 of 2 rows cannot be read)`,
		hint: `say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "t_us" "hall"`},
	{name: "decimal commas without quotes", text: "t_s,hall,p1\n0,1,101,1,5\n0,2,101,1,5\n", want: `f:2:9: the row has 5 cells, not 3 (2 of 2 rows cannot be read)`,
		hint: `say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "t_s" "hall" "p1"`},
	{name: "both decimal marks", text: "t_s;hall;p1\n0,5;101;1\n1;101;2\n2;101;1.5\n", want: "f:4:7: the file has both the point and the comma as a decimal mark",
		hint: "save the file without separators of thousands"},
	{name: "other columns later", text: "t_us,p1,p2\n0,1,2\n1,1,2\nt_us,p2,p1\n3,1,2\n", want: "f:4:1: the columns change within the file", hint: "split the file here"},

	{name: "rate", text: "hall\n101\n", opt: Options{SampleRate: -1}, want: "--sample-rate: -1 is not a rate", hint: "give the rows per second, such as --sample-rate 3200"},
	{name: "columns: form", text: "A,B\n0,1\n", opt: Options{Columns: "t"}, want: `--columns: "t" is not of the form KEY=NAME or KEY=NAME:unit`, hint: `in f the columns are "A" "B"`},
	{name: "columns: key", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s,p4=B"}, want: `--columns: "p4" is not one of t hall hall_code h1 h2 h3 index p1 p2 p3 p12 p23 p31`, hint: `in f the columns are "A" "B"`},
	{name: "columns: unit", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:min,p1=B"}, want: `--columns: the unit "min" of t is not one of s ms us ns`, hint: `in f the columns are "A" "B"`},
	{name: "columns: unit of another kind", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s,p1=B:s"}, want: `--columns: the unit "s" of p1 is not one of V mV uV kV`, hint: `in f the columns are "A" "B"`},
	{name: "columns: unknown name", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s,p1=C"}, want: `--columns: there is no column "C" for p1`, hint: `in f the columns are "A" "B"`},
	{name: "columns: unknown number", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s,p1=3"}, want: `--columns: there is no column 3 for p1, the rows have 2`, hint: `in f the columns are "A" "B"`},
	{name: "columns: number 0", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s,p1=0"}, want: `--columns: column numbers count from 1, p1 has 0`, hint: `in f the columns are "A" "B"`},
	{name: "columns: numbers without rows", text: "A,B\nx,y\n", opt: Options{Columns: "t=1:s,p1=2"}, want: `--columns: no line has numbers in these columns`, hint: `in f the columns are "A" "B"`},
	{name: "columns: names on different lines", text: "A,B,C\nD,E\n0,1\n", opt: Options{Columns: "t=A:s,p1=D"}, want: `--columns: there is no column "D" for p1`, hint: `in f the columns are "A" "B" "C"`},
	{name: "columns: empty name", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s,p1="}, want: `--columns: p1 names no column`, hint: `in f the columns are "A" "B"`},
	{name: "columns: key twice", text: "A,B\n0,1\n", opt: Options{Columns: "p1=A,p1=B"}, want: `--columns: p1 is given twice`, hint: `in f the columns are "A" "B"`},
	{name: "columns: column twice", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s,p1=1"}, want: `--columns: column "A" is used twice, for t and p1`, hint: `in f the columns are "A" "B"`},
	{name: "columns: mixed", text: "A,B\n0,1\n", opt: Options{Columns: "p1=A,p12=B"}, want: `--columns: columns "p1" and "p12" mix leads with differences of leads`, hint: `in f the columns are "A" "B"`},
	{name: "columns: no time", text: "A,B\n0,1\n", opt: Options{Columns: "p1=B"}, want: `--columns: no time column is named; name one with t=NAME:unit or give --sample-rate HZ`, hint: `in f the columns are "A" "B"`},
	{name: "columns: only time", text: "A,B\n0,1\n", opt: Options{Columns: "t=A:s"}, want: `--columns: neither a Hall nor a phase column is named`, hint: `in f the columns are "A" "B"`},
	{name: "columns: no unit", text: "A,B\n0,1\n", opt: Options{Columns: "t=A,p1=B"}, want: `f:1:1: the time column "A" has no unit, and none would fit`, hint: "give it with --columns 't=NAME:unit', the unit one of s ms us ns"},
	{name: "control characters", text: "t_us,\x07J\"\n0,1\n", want: "f:1:1: there is a time column, but no Hall and no phase column",
		hint: `say which column is which with --columns 't=NAME:unit,h1=NAME,p1=NAME'; the columns are "t_us" "\aJ\""`},
}

func TestBadInput(t *testing.T) {
	for _, c := range bad {
		t.Run(c.name, func(t *testing.T) {
			rec, err := Read(strings.NewReader(c.text), "f", c.opt)
			if err == nil {
				t.Fatalf("read %d rows", rec.Rows())
			}
			if err.Error() != c.want || hintOf(err) != c.hint {
				t.Errorf("%s\n%s\nwant\n%s\n%s", err, hintOf(err), c.want, c.hint)
			}
		})
	}
}

func hintOf(err error) string {
	if e, ok := errors.AsType[*capture.SyntaxError](err); ok {
		return e.Hint
	}
	if e, ok := errors.AsType[*OptionError](err); ok {
		return e.Hint
	}
	return ""
}

func TestReadErrorIsPassedOn(t *testing.T) {
	_, err := Read(iotest.ErrReader(io.ErrUnexpectedEOF), "f", Options{})
	if !errors.Is(err, io.ErrUnexpectedEOF) || !strings.HasPrefix(err.Error(), "f: ") {
		t.Errorf("got %v", err)
	}
}
