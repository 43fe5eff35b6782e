package csvfile

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"handspin/capture"
)

// TestIndexColumn: a pulse of either polarity, digital or a voltage, by its own name or a
// mapped one, begins where the column leaves the level that it mostly has; a counter of
// that name is none.
func TestIndexColumn(t *testing.T) {
	file := func(name string, value func(i int) string) string {
		var b strings.Builder
		fmt.Fprintf(&b, "t_us,hall,p1,p2,p3,%s\n", name)
		for i := range 40 {
			fmt.Fprintf(&b, "%d,101,%d,512,512,%s\n", 1000*i, 500+i, value(i))
		}
		return b.String()
	}
	pulses := func(on, off string) func(int) string {
		return func(i int) string {
			if i%16 == 5 || i%16 == 6 {
				return on
			}
			return off
		}
	}
	for name, c := range map[string]struct {
		text, columns string
		want          []float64
	}{
		"digital":  {file("index", pulses("1", "0")), "", []float64{0.005, 0.021, 0.037}},
		"inverted": {file("index", pulses("0", "1")), "", []float64{0.005, 0.021, 0.037}},
		"volts":    {file("Z (V)", pulses("4.9", "0.1")), "t=t_us:us,hall=hall,p1=p1,p2=p2,p3=p3,index=Z", []float64{0.005, 0.021, 0.037}},
		"counter":  {file("index", func(i int) string { return fmt.Sprint(i) }), "", nil},
		"constant": {file("index", func(int) string { return "0" }), "", nil},
		"none":     {file("other", pulses("1", "0")), "", nil},
	} {
		rec, err := Read(strings.NewReader(c.text), "spin", Options{Columns: c.columns})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !slices.Equal(rec.Index, c.want) {
			t.Errorf("%s: %v, want %v; notes %q", name, rec.Index, c.want, rec.Notes)
		}
	}
}

// TestIndexComesBack: what is written is read again.
func TestIndexComesBack(t *testing.T) {
	rec := &capture.Recording{Index: []float64{0.002, 0.006}}
	for i := range 9 {
		rec.Time = append(rec.Time, float64(i)/1000)
		rec.Hall = append(rec.Hall, capture.Levels(5))
		rec.Edge = append(rec.Edge, false)
	}
	var text strings.Builder
	if err := Write(&text, rec); err != nil {
		t.Fatal(err)
	}
	again, err := Read(strings.NewReader(text.String()), "spin", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(again.Index, rec.Index) {
		t.Errorf("%v, want %v\n%s", again.Index, rec.Index, text.String())
	}
}
