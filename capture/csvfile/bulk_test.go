package csvfile

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// told prints all that reading a text gives; NaN, which equals nothing, too.
func told(text []byte, opt Options, partSize int) string {
	rec, err := parse(text, "x.csv", opt, partSize)
	if err != nil {
		return err.Error()
	}
	for _, d := range rec.Damage {
		rec.Notes = append(rec.Notes, d.Error())
	}
	rec.Damage = nil
	return fmt.Sprintf("%+v", *rec)
}

// whole is a size of parts that no text here has: it is read line by line.
const whole = 1 << 30

func wantSameInParts(t *testing.T, text []byte, opt Options) {
	t.Helper()
	want := told(text, opt, whole)
	for _, size := range []int{100, 700} { // a few rows, and some more
		if got := told(text, opt, size); got != want {
			t.Errorf("in parts of %d bytes it gives\n%.600s\nas a whole\n%.600s\nof\n%.300s", size, got, want, text)
		}
	}
}

// TestParts: a text that is read in parts, side by side, gives what it gives when
// it is read line by line, whatever its shape and its damage.
func TestParts(t *testing.T) {
	files, err := filepath.Glob("../../testdata/shapes/*")
	if err != nil || len(files) == 0 {
		t.Fatal("no shapes")
	}
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		wantSameInParts(t, text, Options{})
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		wantSameInParts(t, spoiled(r, spinText(120)), Options{})
	}
	for range 50 {
		wantSameInParts(t, spoiled(r, spinText(120)), Options{Columns: "hall=2,p1=3,p2=4,p3=5", SampleRate: 3000})
		wantSameInParts(t, spoiled(r, spinText(120)), Options{Columns: "t=1:us,h1=2.0,h2=2.1,h3=2.2,p1=3"})
	}
}

// spoiled damages a text as serial lines and editors do: bytes changed, dropped
// or repeated, lines cut, joined, exchanged, and sums that are there for a part
// of the rows only.
func spoiled(r *rand.Rand, text []byte) []byte {
	lines := bytes.SplitAfter(bytes.Clone(text), []byte{'\n'})
	from := 0
	if r.IntN(2) == 0 {
		from = r.IntN(len(lines))
	}
	for i := range lines[:from] { // as though another program had written them
		if n := bytes.IndexByte(lines[i], '*'); n >= 0 {
			lines[i] = append(lines[i][:n:n], '\n')
		}
	}
	for range r.IntN(6) {
		i, j := r.IntN(len(lines)), r.IntN(len(lines))
		l := lines[i]
		if len(l) == 0 {
			continue
		}
		k := r.IntN(len(l))
		switch r.IntN(8) {
		case 0:
			l[k] = " ,.;x-+#*0\"\r\n"[r.IntN(13)]
		case 1:
			lines[i] = l[:k]
		case 2:
			lines[i] = append(l[:k:k], l[k+1:]...)
		case 3:
			lines[i] = append(bytes.Clone(l), lines[j]...)
		case 4:
			lines[i], lines[j] = lines[j], lines[i]
		case 5:
			lines[i] = []byte("# note: x\n")
		case 6:
			lines[i] = []byte("1,2\n\n,,,,\n")
		case 7:
			lines[i] = []byte("30000,1,1.5,2.5,+3e2\n")
		}
	}
	return bytes.Join(lines, nil)
}

// FuzzParts tries the same on texts of its own.
func FuzzParts(f *testing.F) {
	f.Add(spinText(40))
	files, _ := filepath.Glob("../../testdata/shapes/*")
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		if len(text) < 1<<16 {
			wantSameInParts(t, text, Options{})
		}
	})
}
