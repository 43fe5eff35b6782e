package vcd

import (
	"encoding/binary"
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"handspin/capture/csvfile"
)

// declared is a dump of signals of one bit, of which the first goes high at 1 us
// and the second at 2 us.
func declared(names ...string) string {
	text := "$timescale 1 us $end"
	for i, name := range names {
		text += fmt.Sprintf(" $var wire 1 %c %s $end", 'a'+i, name)
	}
	text += " $enddefinitions $end #0"
	for i := range names {
		text += fmt.Sprintf(" 0%c", 'a'+i)
	}
	return text + " #1 1a #2 1b"
}

// What counts is the name of a signal, wherever it is declared.
func TestNamesTellLeads(t *testing.T) {
	for _, c := range []struct{ name, text, last, notes string }{
		{"in order", declared("h1", "h2", "h3"), "110", ""},
		{"out of order", declared("h1", "H3", "h2"), "101", ""},
		{"from the last", declared("h3", "h2", "h1"), "011", ""},
		{"others beside", declared("h3", "clock", "h1", "h2"), "001", ""},
		{"some of the leads", declared("h3", "h1"), "1x1", ""},
		{"some of the leads, others beside", declared("h2", "h1", "D7"), "11x",
			`signals that are not used, since others are called h1, h2 or h3: "D7"; --columns can name them`},
		{"a second name of a net", "$timescale 1 us $end $var wire 1 a X $end $scope module m $end $var wire 1 a h2 $end $upscope $end $enddefinitions $end #0 0a #1 1a", "x1x", ""},
		{"by number", declared("D2", "D0", "D1"), "101", `by their names the signals "D0", "D1" and "D2" are taken for h1, h2 and h3; --columns says otherwise`},
		{"by number in brackets", declared("hall [2]", "hall [1]", "hall [0]"), "011",
			`by their names the signals "hall [0]", "hall [1]" and "hall [2]" are taken for h1, h2 and h3; --columns says otherwise`},
		{"by number, not by letter", declared("D10", "D9", "D8"), "011", `by their names the signals "D8", "D9" and "D10" are taken for h1, h2 and h3; --columns says otherwise`},
		{"by letter", declared("Hall C", "Hall B", "Hall A"), "011", `by their names the signals "Hall A", "Hall B" and "Hall C" are taken for h1, h2 and h3; --columns says otherwise`},
		{"by order", declared("white", "grey", "brown"), "110", `by their order the signals "white", "grey" and "brown" are taken for h1, h2 and h3; --columns says otherwise`},
		{"three of four change", declared("D0", "D1", "D2", "D3") + " #3 0a #4 1c 1a 0b", "101",
			`of 4 signals of one bit only three change|by their names the signals "D0", "D1" and "D2" are taken for h1, h2 and h3; --columns says otherwise`},
		{"three bits of another name", "$timescale 1 us $end $var reg 3 h inputs [2:0] $end $enddefinitions $end #0 b001 h #1 b110 h", "110",
			`the bits of "inputs" are taken for h1, h2 and h3, the most significant first; --columns says otherwise`},
		{"three bits", "$timescale 1 us $end $var wire 1 c clock $end $var reg 3 h hall [2:0] $end $enddefinitions $end #0 b001 h #1 b110 h", "110", ""},
	} {
		rec, err := Parse([]byte(c.text), "f", csvfile.Options{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got := rec.Hall[rec.Rows()-1].String(); got != c.last || strings.Join(rec.Notes, "|") != c.notes {
			t.Errorf("%s: %s %q, want %s %q", c.name, got, rec.Notes, c.last, c.notes)
		}
	}
}

func TestNamesThatSayTwoThings(t *testing.T) {
	const want = "f:1:1: which signals are the Hall leads cannot be told: several have the same meaning by their names"
	for _, text := range []string{
		declared("h1", "h2", "H1", "h3"),
		"$timescale 1 us $end $var wire 1 c h1 $end $var reg 3 h hall $end $enddefinitions $end #0 b001 h #1 b110 h",
	} {
		if _, err := Parse([]byte(text), "f", csvfile.Options{}); err == nil || err.Error() != want {
			t.Errorf("%v, want %s", err, want)
		}
	}
}

// Where the timescale stands, and how often, does not matter as long as it is one.
func TestTimescales(t *testing.T) {
	const rest = "$var wire 1 a h1 $end $enddefinitions $end "
	const differs = `there is another timescale before, and it is not "1ms"`
	for _, c := range []struct{ text, err string }{
		{rest + "$timescale 1 us $end #0 0a #5 1a", ""},
		{rest + "$timescale 1 us $end $comment x $end $dumpvars 0a $end #0 #5 1a", ""},
		{"$timescale 1 us $end " + rest + "#0 0a $timescale 1us $end #5 1a", ""},
		{"$timescale 1 us $end $timescale 1 ms $end " + rest + "#0 0a #5 1a", "f:1:22: " + differs},
		{"$timescale 1 us $end\n" + rest + "\n#0 0a\n$timescale 1 ms $end #5 1a", "f:4:1: " + differs},
	} {
		rec, err := Parse([]byte(c.text), "f", csvfile.Options{})
		switch {
		case c.err != "" && (err == nil || err.Error() != c.err):
			t.Errorf("%q: %v, want %s", c.text, err, c.err)
		case c.err == "" && (err != nil || rec.Time[rec.Rows()-1] != 5e-6):
			t.Errorf("%q: %+v, %v", c.text, rec, err)
		}
	}
}

func TestUTF16(t *testing.T) {
	units := utf16.Encode([]rune("\ufeff\r\n" + declared("hall µ1", "hall µ3", "hall µ2")))
	for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
		var text []byte
		for _, u := range units {
			text = order.AppendUint16(text, u)
		}
		rec, err := Parse(text, "f", csvfile.Options{})
		if !Is(text) || err != nil || rec.Rows() != 3 || rec.Hall[2].String() != "101" {
			t.Errorf("%v: %v, %+v, %v", order, Is(text), rec, err)
		}
	}
}
