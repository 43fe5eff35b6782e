package vcd

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"handspin/capture"
	"handspin/capture/csvfile"
)

const three = "$timescale 1 us $end $var wire 1 ! A $end $var wire 1 # B $end $var wire 1 $ C $end $enddefinitions $end\n"

const byNames = `by their names the signals "A", "B" and "C" are taken for h1, h2 and h3; --columns says otherwise`

// Dumps and what they hold: time in seconds and levels, by hand. The forms are
// those of IEEE 1364-2005, clause 18, and what writers make of them.
var dumps = []struct{ name, text, columns, rows, notes string }{
	{name: "initial values after the first time", text: three + "#0 $dumpvars 1! 0# 1$ $end\n#10 0$\n#30\n",
		rows: "0 101|1e-05 100|3e-05 100", notes: byNames},
	{name: "initial values before the first time", text: three + "$dumpvars 1! 0# 1$ $end #100 #110 0$",
		rows: "0 101|1e-05 100", notes: byNames},
	{name: "no $dumpvars, all on one line", text: three + "#0 0! 0# 0$ #1250 1! #2610 x!",
		rows: "0 000|0.00125 100|0.00261 x00", notes: byNames + "|values that are neither 0 nor 1 among the Hall signals: 1; they are levels that are not known"},
	{name: "a later $dumpall is now", text: three + "#0 0! 0# 0$ #10 $dumpall 1! 0# 0$ $end #20",
		rows: "0 000|1e-05 100|2e-05 100", notes: byNames},
	{name: "$dumpoff", text: three + "#0 0! 0# 0$ #10 $dumpoff x! x# x$ $end #20 $dumpon 1! 1# 1$ $end",
		rows: "0 000|1e-05 xxx|2e-05 111", notes: byNames + "|values that are neither 0 nor 1 among the Hall signals: 3; they are levels that are not known"},
	{name: "a value at the same time counts instead of the one before", text: three + "#0 0! 0# 0$ #10 1! 1# 0! #20 #30 1!",
		rows: "0 000|1e-05 010|3e-05 110", notes: byNames},
	{name: "scale in two words and lines, 10 ns", text: "$timescale\n 10\n ns\n$end" + strings.TrimPrefix(three, "$timescale 1 us $end") + "#5 0! 0# 0$ #105 1!",
		rows: "0 000|1e-06 100", notes: byNames},
	{name: "scale in one word without its end", text: "$date 3. März $end $timescale 1ms $scope module top $end" + strings.TrimPrefix(three, "$timescale 1 us $end") + "#0 0! 0# 0$ #2 1!",
		rows: "0 000|0.002 100", notes: byNames},
	{name: "no end of the declarations", text: strings.ReplaceAll(three, "$enddefinitions $end", "") + "#0 0! 0# 0$ #2 1!", rows: "0 000|2e-06 100", notes: byNames},
	{name: "$enddefinitions without its end", text: strings.ReplaceAll(three, "$enddefinitions $end", "$enddefinitions") + "#0 $dumpvars 0! 0# 0$ $end #2 1!", rows: "0 000|2e-06 100", notes: byNames},
	{name: "identifiers that look like other things", text: "$timescale 1 us $end $var wire 1 $end A $end $var wire 1 #1 B $end $var wire 1 1 C $end $enddefinitions $end #0 0$end 0#1 01 #1 1$end #2 1#1 #3 11",
		rows: "0 000|1e-06 100|2e-06 110|3e-06 111", notes: byNames},
	{name: "values of other languages, capitals, a blank before the identifier", text: three + "#0 0! 0# 0$ #1 U! #2 1 ! #3 Z#",
		rows: "0 000|1e-06 x00|2e-06 100|3e-06 1x0", notes: byNames + "|values that are neither 0 nor 1 among the Hall signals: 2; they are levels that are not known"},
	{name: "other signals beside, comments among values", text: "$timescale 1 us $end $var real 64 r V $end $var wire 8 v X [7:0] $end $var string 1 s S $end" + strings.TrimPrefix(three, "$timescale 1 us $end") +
		"#0 0! 0# 0$ r1.25e3 r b1010 v sTEXT s $comment a #9 $var $end #1 1!", columns: "h1=A,h2=B,h3=C", rows: "0 000|1e-06 100"},
	{name: "names with blanks, scopes and numbers; two of three leads", text: "$timescale 1 us $end $scope module m $end $var wire 1 ! HALL A $end $upscope $end $var wire 1 # hall[2] $end $var wire 1 $ hall [1] $end $enddefinitions $end #0 1! 0# 1$ #1 0!",
		columns: "h3=M.hall a, h1=3", rows: "0 1x1|1e-06 1x0"},
	{name: "a net in two places is one", text: strings.Replace(three, "$enddefinitions", "$scope module m $end $var wire 1 ! A $end $upscope $end $enddefinitions", 1) + "#0 0! 0# 0$ #2 1!", rows: "0 000|2e-06 100", notes: byNames},
	{name: "size and identifier glued, type logic", text: "$timescale 1 us $end $var logic 1! A $end $var logic 1# B $end $var logic 1$ C $end $enddefinitions $end #0 0! 0# 0$ #1.5 1!",
		rows: "0 000|1.5e-06 100", notes: byNames},
	{name: "a vector, short values filled", text: "$timescale 1 us $end $var reg 3 % code [2:0] $end $enddefinitions $end #0 b101 % #1 b1 % #2 bx % #3 B0 % #4 bz1 % #5 b011 %", columns: "hall=code",
		rows: "0 101|1e-06 001|2e-06 xxx|3e-06 000|4e-06 xx1|5e-06 011", notes: "values that are neither 0 nor 1 among the Hall signals: 5; they are levels that are not known"},
	{name: "byte order mark, no blank at the end, CRLF", text: "\ufeff" + strings.ReplaceAll(three, " $var", "\r\n$var") + "#0\r\n0!\r\n0#\r\n0$\r\n#7\r\n1!", rows: "0 000|7e-06 100", notes: byNames},
	{name: "no value before the first change", text: three + "#0 #10 1! #20 0#", rows: "0 xxx|1e-05 1xx|2e-05 10x", notes: byNames},
}

// Dumps that are odd in other ways.
var oddDumps = []struct{ name, text, columns, rows, notes string }{
	{name: "escaped identifiers", text: "$timescale 1 us $end $scope module \\top.m $end $var wire 1 ! \\h1 $end $var wire 1 # \\h2 $end $var wire 1 $ h3 $end $upscope $end $enddefinitions $end #0 0! 0# 0$ #2 1#",
		rows: "0 000|2e-06 010"},
	{name: "escaped in columns, with its scope", text: "$timescale 1 us $end $scope module \\t.m $end $var wire 1 ! \\a+b $end $upscope $end $enddefinitions $end #0 0! #2 1!",
		columns: `h1=t.m.a+b`, rows: "0 0xx|2e-06 1xx"},
	{name: "cut off in a value", text: three + "#0 0! 0# 0$ #1 1! #2 1", rows: "0 000|1e-06 100|2e-06 100", notes: byNames + `|the file is cut off in the middle of "1", which is left out`},
	{name: "cut off in a time", text: three + "#0 0! 0# 0$ #10 1! #", rows: "0 000|1e-05 100", notes: byNames + `|the file is cut off in the middle of "#", which is left out`},
	{name: "cut off in a vector", text: three + "#0 0! 0# 0$ #10 1! b101", rows: "0 000|1e-05 100", notes: byNames + `|the file is cut off in the middle of "b101", which is left out`},
	{name: "cut off in a comment", text: three + "#0 0! 0# 0$ #10 1! $comment by", rows: "0 000|1e-05 100", notes: byNames + `|the file is cut off in the middle of "$comment by", which is left out`},
	{name: "the end of an extended dump", text: three + "#0 0! 0# 0$ #10 1! $vcdclose #20 $end\n", rows: "0 000|1e-05 100", notes: byNames},
	{name: "$dumpoff with no more than a part, on again with nothing", text: three + "#0 0! 0# 0$ #10 $dumpoff x! $end #20 $dumpon $end 1!", rows: "0 000|1e-05 x00|2e-05 100",
		notes: byNames + "|values that are neither 0 nor 1 among the Hall signals: 1; they are levels that are not known"},
	{name: "an identifier that is a keyword of values", text: "$timescale 1 us $end $var wire 1 $dumpoff A $end $var wire 1 #5 B $end $var reg 1 b1 C $end $enddefinitions $end #0 0$dumpoff 0#5 b0 b1 #5 1#5 #6 1b1",
		rows: "0 000|5e-06 010|6e-06 011", notes: byNames},
	{name: "a comment of values, times and keywords", text: three + "#0 0! 0# 0$ $comment\r\n1! #99 $dumpvars b1 $timescale 5 us\r\n$end #1 1!", rows: "0 000|1e-06 100", notes: byNames},
	{name: "more than are left out of a short real or text", text: "$timescale 1 us $end $var real 1 r R $end" + strings.TrimPrefix(three, "$timescale 1 us $end") + "#0 0! 0# 0$ R1e3 r #1 Sab r #2 1!", columns: "h1=A,h2=B,h3=C", rows: "0 000|2e-06 100"},
}

func TestOddDumps(t *testing.T) {
	for _, d := range oddDumps {
		rec, err := Parse([]byte(d.text), "f", csvfile.Options{Columns: d.columns})
		if err != nil {
			t.Errorf("%s: %v", d.name, err)
			continue
		}
		var rows []string
		for i := range rec.Time {
			rows = append(rows, fmt.Sprint(rec.Time[i], " ", rec.Hall[i]))
		}
		if got, notes := strings.Join(rows, "|"), strings.Join(rec.Notes, "|"); got != d.rows || notes != d.notes {
			t.Errorf("%s: rows %s\nwant %s\nnotes %s\nwant  %s", d.name, got, d.rows, notes, d.notes)
		}
		checkSound(t, rec)
	}
}

// What memory a dump takes does not grow with what is no recording in it. The column
// is that after 21 + 1000 x 21 bytes.
func TestOddDumpsRefused(t *testing.T) {
	for text, want := range map[string]string{
		"$timescale 1 us $end " + strings.Repeat("$scope module m $end ", 1001): "f:1:21022: there are more than 1000 scopes within one another",
		"$timescale 1 us $end\n$var wire 1 ! A " + strings.Repeat("1! ", 1001):  `f:2:1: the declaration "$var" has no end`,
	} {
		if _, err := Parse([]byte(text), "f", csvfile.Options{}); err == nil || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
}

func TestDumps(t *testing.T) {
	for _, d := range dumps {
		t.Run(d.name, func(t *testing.T) {
			rec, err := Parse([]byte(d.text), "f", csvfile.Options{Columns: d.columns})
			if err != nil {
				t.Fatal(err)
			}
			var rows []string
			for i := range rec.Time {
				rows = append(rows, fmt.Sprint(rec.Time[i], " ", rec.Hall[i]))
			}
			if got := strings.Join(rows, "|"); got != d.rows {
				t.Errorf("rows %s\nwant %s", got, d.rows)
			}
			if got := strings.Join(rec.Notes, "|"); got != d.notes {
				t.Errorf("notes %s\nwant  %s", got, d.notes)
			}
			checkSound(t, rec)
		})
	}
}

// checkSound checks what every recording of a dump promises.
func checkSound(t *testing.T, rec *capture.Recording) {
	t.Helper()
	n := rec.Rows()
	if n < 2 || len(rec.Hall) != n || rec.Time[0] != 0 || !slices.IsSorted(rec.Time) || len(rec.Columns) != 0 {
		t.Fatalf("unsound: %d rows, %d levels, %v", n, len(rec.Hall), rec.Time)
	}
	if !slices.Equal(rec.Edge, slices.Repeat([]bool{true}, n)) {
		t.Fatal("a row is no edge")
	}
}

const (
	ask    = "find the unit of time in the program that wrote the file, and add a first line such as $timescale 1 us $end"
	choose = "say which is which with --columns 'h1=NAME,h2=NAME,h3=NAME', or hall=NAME for a signal of three bits; "
	abc    = `in f the signals are "A" "B" "C"`
)

// Positions are counted by hand.
var bad = []struct{ name, text, columns, want, hint string }{
	{name: "no timescale", text: "$var wire 1 ! A $end $enddefinitions $end #0 1!", want: "f:1:1: the file does not say in what unit its times are ($timescale)", hint: ask},
	{name: "a scale that is none", text: "\n$timescale 5 us $end", want: `f:2:1: the timescale is not 1, 10 or 100 and one of s ms us ns ps fs: "5us"`, hint: ask},
	{name: "a scale without a unit", text: "$timescale 1 $end", want: `f:1:1: the timescale is not 1, 10 or 100 and one of s ms us ns ps fs: "1"`, hint: ask},
	{name: "the text ends in a comment", text: "$comment 1 us", want: `f:1:1: the text ends within the declaration "$comment"`},
	{name: "the text ends in a variable", text: "$var wire 1", want: `f:1:1: the text ends within the declaration "$var"`},
	{name: "a variable's size", text: "$var wire x ! A $end", want: `f:1:1: a variable's size is not a whole number from 1 up: "x"`},
	{name: "two signals", text: "$timescale 1 us $end $var wire 1 ! A $end $var wire 1 # B $end $var wire 2 $ C [1:0] $end $enddefinitions $end #0",
		want: "f:1:1: which signals are the Hall leads cannot be told: there are 2 of one bit, not 3", hint: choose + `the signals are "A" "B" "C" (2 bits)`},
	{name: "no signal", text: "$timescale 1 us $end #0 #1", want: "f:1:1: which signals are the Hall leads cannot be told: there are 0 of one bit, not 3", hint: choose + "no signal is declared"},
	{name: "no time", text: three, want: "f:2:1: there is no time in the file"},
	{name: "one time", text: three + "#5 1!", want: "f:2:6: there is only one time in the file", hint: "record longer"},
	{name: "time runs backward", text: three + "#5 1! #4 0!", want: `f:2:7: time runs backward: "#4"`},
	{name: "no time after #", text: three + "#5x\n", want: `f:2:1: this is not a time: "#5x"`},
	{name: "an identifier that is not declared", text: three + "#5 1?\n", want: `f:2:4: no signal has the identifier "?"`, hint: "look whether the file is damaged here"},
	{name: "the text ends in a value", text: three + "#5 b1\n", want: "f:2:4: the text ends after a value, before it says whose it is"},
	{name: "a huge word", text: three + "#5 b" + strings.Repeat("1", 1<<16), want: "f:2:4: a word is longer than 64 KiB", hint: "look whether the file is a value change dump"},
	{name: "columns: a phase", text: three, columns: "p1=A", want: `--columns: "p1=A" is not of the form h1=NAME or hall=NAME, which is all that a value change dump can have`, hint: abc},
	{name: "columns: no such signal", text: three, columns: "h1=D", want: `--columns: there is no signal "D"`, hint: abc},
	{name: "columns: twice", text: three, columns: "h1=A,h1=B", want: "--columns: h1 is given twice", hint: abc},
	{name: "columns: hall beside h1", text: "$timescale 1 us $end $var wire 1 ! A $end $var wire 3 # B $end", columns: "h1=A,hall=B",
		want: "--columns: hall gives all the levels, there is no place for others beside it", hint: `in f the signals are "A" "B" (3 bits)`},
	{name: "columns: one signal twice", text: three, columns: "h1=A,h2=a", want: `--columns: signal "a" is used twice`, hint: abc},
	{name: "columns: size", text: three, columns: "hall=A", want: `--columns: signal "A" has 1 bits, hall takes 3`, hint: abc},
	{name: "columns: two of one name", text: "$timescale 1 us $end $scope module m $end $var wire 1 ! A $end $upscope $end $var wire 1 # A $end $enddefinitions $end", columns: "h1=A",
		want: `--columns: there are 2 signals "A"; give the name with its scopes`, hint: `in f the signals are "m.A" "A"`},
}

func TestBadInput(t *testing.T) {
	for _, c := range bad {
		t.Run(c.name, func(t *testing.T) {
			_, err := Parse([]byte(c.text), "f", csvfile.Options{Columns: c.columns})
			if err == nil {
				t.Fatal("no error")
			}
			if err.Error() != c.want || hintOf(err) != c.hint {
				t.Errorf("%s\n%s\nwant\n%s\n%s", err, hintOf(err), c.want, c.hint)
			}
		})
	}
}

func TestRateHasNoPlace(t *testing.T) {
	_, err := Parse([]byte(three), "f", csvfile.Options{SampleRate: 5})
	if e, ok := errors.AsType[*csvfile.OptionError](err); !ok || e.Flag != "--sample-rate" {
		t.Errorf("got %v", err)
	}
}

func TestIs(t *testing.T) {
	for text, want := range map[string]bool{"\n $timescale 1 us $end": true, "\ufeff$date\n": true, "$var wire": true,
		"t_us,hall\n$var": false, "$money,p1\n": false, "": false} {
		if Is([]byte(text)) != want {
			t.Errorf("%q: not %v", text, want)
		}
	}
}

func hintOf(err error) string {
	if e, ok := errors.AsType[*capture.SyntaxError](err); ok {
		return e.Hint
	}
	if e, ok := errors.AsType[*csvfile.OptionError](err); ok {
		return e.Hint
	}
	return ""
}

func FuzzParse(f *testing.F) {
	for _, d := range append(dumps, oddDumps...) {
		f.Add([]byte(d.text), d.columns)
	}
	for _, b := range bad {
		if len(b.text) < 1<<12 {
			f.Add([]byte(b.text), b.columns)
		}
	}
	paths, err := filepath.Glob("../../testdata/shapes/*.vcd")
	if err != nil || len(paths) == 0 {
		f.Fatal("no shape file", err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text, "")
		f.Add(text, "hall=code")
	}
	f.Fuzz(func(t *testing.T, text []byte, columns string) {
		rec, err := Parse(text, "f", csvfile.Options{Columns: columns})
		if err != nil {
			if strings.ContainsFunc(err.Error()+hintOf(err), unicode.IsControl) {
				t.Fatalf("control character in %q", err)
			}
			return
		}
		checkSound(t, rec)
	})
}
