package line

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"handspin/capture"
)

func TestParseRow(t *testing.T) {
	// The rows are an example of the recording format; their sums were counted
	// with Append, which has a test of its own.
	for text, want := range map[string]Row{
		"20000,101,514,508,511":  {TimeUS: 20000, Hall: 5, Phase: [3]uint16{514, 508, 511}},
		"20344,100,,,":           {TimeUS: 20344, Hall: 4, Edge: true},
		"4294967295,001,0,0,0":   {TimeUS: 1<<32 - 1, Hall: 1},
		"0,000,65535,1,2":        {Phase: [3]uint16{65535, 1, 2}},
		"00012,010,0012,003,004": {TimeUS: 12, Hall: 2, Phase: [3]uint16{12, 3, 4}},
	} {
		if got, err := ParseRow(Append(nil, []byte(text))); got != want || err != nil {
			t.Errorf("%s: %+v, %v", text, got, err)
		}
	}
}

func TestParseRowRefuses(t *testing.T) {
	for _, text := range []string{
		"", "1", "1,101", "1,101,", "1,101,,", "1,101,,,,", "1,101,1,2", "1,101,1,2,", "1,101,1,2,3,", "1,101,1,2,3,4",
		"1,101,,2,3", "1,101,1,2,65536", "4294967296,101,1,2,3", "99999999999,101,1,2,3", ",101,1,2,3", "1,10,1,2,3",
		"1,1012,1,2,3", "1,10x,1,2,3", "-1,101,1,2,3", "1,101,1.5,2,3", "1, 101,1,2,3",
	} {
		if got, err := ParseRow(Append(nil, []byte(text))); !errors.Is(err, ErrNoRow) {
			t.Errorf("%q: %+v, %v", text, got, err)
		}
	}
	if _, err := ParseRow([]byte("1,101,1,2,3")); !errors.Is(err, ErrNoSum) {
		t.Error(err)
	}
	if _, err := ParseRow([]byte("1,101,1,2,3*00")); !errors.Is(err, ErrWrongSum) {
		t.Error(err)
	}
}

func TestAppendRowThenParse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := Row{TimeUS: rapid.Uint32().Draw(t, "time"), Hall: capture.Levels(rapid.IntRange(0, 7).Draw(t, "hall"))}
		if want.Edge = rapid.Bool().Draw(t, "edge"); !want.Edge {
			for i := range want.Phase {
				want.Phase[i] = rapid.Uint16().Draw(t, "phase")
			}
		}
		text := AppendRow([]byte("before"), want)
		if got, err := ParseRow(text[len("before"):]); got != want || err != nil {
			t.Fatalf("%s: %+v, %v", text, got, err)
		}
	})
}

func TestParseRowDoesNotAllocate(t *testing.T) {
	text := AppendRow(nil, Row{TimeUS: 123456789, Hall: 5, Phase: [3]uint16{1023, 1024, 1025}})
	if n := testing.AllocsPerRun(100, func() { ParseRow(text) }); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func TestParseHeader(t *testing.T) {
	for text, want := range map[string][2]string{
		"# sets: 12": {"sets", "12"}, "#a:b:c": {"a", "b:c"}, "# words": {"", "words"}, "#": {"", ""},
	} {
		if k, v, ok := ParseHeader([]byte(text)); k != want[0] || v != want[1] || !ok {
			t.Errorf("%q: %q %q %v", text, k, v, ok)
		}
	}
	for _, text := range []string{"", "1,2", " # x: y"} {
		if _, _, ok := ParseHeader([]byte(text)); ok {
			t.Errorf("%q is a header line", text)
		}
	}
}

func FuzzParseRow(f *testing.F) {
	f.Add([]byte("20000,101,514,508,511*0A"))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := ParseRow(text)
		if err != nil {
			return
		}
		// What was read means the same when written.
		if again, err := ParseRow(AppendRow(nil, r)); again != r || err != nil {
			t.Fatalf("%q: %+v, %+v, %v", text, r, again, err)
		}
	})
}
