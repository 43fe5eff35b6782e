package board

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"handspin/capture/line"
)

// decoded returns the lines of a stream that comes in chunks of random sizes.
func decoded(stream []byte, rng *rand.Rand) (out []Line) {
	var d Decoder
	take := func(l Line) {
		l.Text = bytes.Clone(l.Text)
		out = append(out, l)
	}
	for len(stream) > 0 {
		n := min(len(stream), 1+rng.IntN(200))
		d.Feed(bytes.Clone(stream[:n]), take)
		stream = stream[n:]
	}
	d.Rest(take)
	return out
}

func TestDecoder(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	set := string(line.AppendRow(nil, line.Row{TimeUS: 5, Hall: 1, Phase: [3]uint16{1, 2, 3}}))
	stream := "# sets: 7\n" + line.Names + "\r\n\n" + set + "\n" + set[1:] + "\n#\x01: x\n# words\ntail"
	want := "Header sets=7|Names|Row 5|Damaged|Damaged|Header =words|Damaged"
	for range 100 {
		var got []string
		for _, l := range decoded([]byte(stream), rng) {
			switch l.Kind {
			case Header:
				got = append(got, "Header "+l.Key+"="+l.Value)
			case Row:
				got = append(got, fmt.Sprint("Row ", l.Row.TimeUS))
			case Names:
				got = append(got, "Names")
			default:
				got = append(got, "Damaged")
			}
			if (l.Err != nil) != (l.Kind == Damaged) {
				t.Errorf("%q: %v", l.Text, l.Err)
			}
		}
		if strings.Join(got, "|") != want {
			t.Fatalf("got %s", strings.Join(got, "|"))
		}
	}
}

// TestRowsWithoutSums: they are good until one with a sum has come; then they are
// torn.
func TestRowsWithoutSums(t *testing.T) {
	const bare = "5,101,1,2,3\n"
	var kinds []Kind
	for _, l := range decoded([]byte(bare+rows(1, 1)+bare), rand.New(rand.NewPCG(1, 1))) {
		kinds = append(kinds, l.Kind)
	}
	if !slices.Equal(kinds, []Kind{Row, Row, Damaged}) {
		t.Errorf("%d", kinds)
	}
}

// TestEndlessLine: a line that never ends comes in pieces, and takes no room.
func TestEndlessLine(t *testing.T) {
	var d Decoder
	pieces, length := 0, 0
	take := func(l Line) {
		pieces++
		length += len(l.Text)
		if l.Kind != Damaged || len(l.Text) > MaxLine {
			t.Fatalf("%+v", l)
		}
	}
	chunk := bytes.Repeat([]byte{'7'}, 1000)
	for range 1000 {
		d.Feed(chunk, take)
	}
	if cap(d.part) > 4*MaxLine {
		t.Errorf("room for %d bytes", cap(d.part))
	}
	d.Feed([]byte("\n"), take)
	if length != 1000*1000 || pieces != (length+MaxLine-1)/MaxLine {
		t.Errorf("%d bytes in %d pieces", length, pieces)
	}
	good := false
	d.Feed([]byte(rows(1, 1)), func(l Line) { good = l.Kind == Row })
	if !good {
		t.Error("the line after it is lost")
	}
}

// damage spoils a line in one of the ways of a serial line. The result may lack
// its end, which spoils the next line, too.
func damage(text []byte, rng *rand.Rand) []byte {
	text = bytes.Clone(text)
	at := rng.IntN(len(text))
	switch rng.IntN(6) {
	case 0: // bytes dropped
		return slices.Delete(text, at, min(len(text), at+1+rng.IntN(8)))
	case 1: // bytes repeated
		return slices.Insert(text, at, text[at:min(len(text), at+1+rng.IntN(8))]...)
	case 2: // a bit turned
		text[at] ^= 1 << rng.IntN(8)
		return text
	case 3: // torn
		return text[:at]
	case 4: // joined with the next
		return text[:len(text)-1]
	default: // noise
		noise := make([]byte, 1+rng.IntN(300))
		for i := range noise {
			noise[i] = byte(rng.Uint32())
		}
		return slices.Insert(text, at, noise...)
	}
}

// TestDamagedStreams: of 10,000 damaged streams every good line is kept, in its
// place.
func TestDamagedStreams(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	whole := slices.Collect(bytes.Lines([]byte(summedHeader + rows(7000, 12) + summed("# sets: 12", "# edges: 1", "# dropped: 0,0") + rows(12000, 12) + summedHeader + rows(20, 12))))
	for n := range 10000 {
		var stream []byte
		var good []string
		for _, text := range whole {
			begins := len(stream) == 0 || stream[len(stream)-1] == '\n'
			if rng.IntN(4) == 0 {
				stream = append(stream, damage(text, rng)...)
				continue
			}
			stream = append(stream, text...)
			if begins {
				good = append(good, strings.TrimSuffix(string(text), "\n"))
			}
		}
		var tally Tally
		for _, l := range decoded(stream, rng) {
			tally.Take(&l)
			if len(good) > 0 && l.Kind != Damaged && string(l.Text) == good[0] {
				good = good[1:]
			}
		}
		if len(good) > 0 {
			t.Fatalf("stream %d: %q is lost of %q", n, good[0], stream)
		}
	}
}

func FuzzDecoder(f *testing.F) {
	f.Add([]byte(header + rows(5, 3)))
	f.Fuzz(func(t *testing.T, stream []byte) {
		rng := rand.New(rand.NewPCG(1, uint64(len(stream))))
		var tally Tally
		var length int
		for _, l := range decoded(stream, rng) {
			tally.Take(&l)
			length += len(l.Text)
		}
		// Nothing disappears but line ends.
		ends := bytes.Count(stream, []byte("\n")) + bytes.Count(stream, []byte("\r"))
		if length > len(stream) || length < len(stream)-ends {
			t.Fatalf("%d bytes of %d", length, len(stream))
		}
	})
}

// BenchmarkDecode is the way of a line from the port to the counts. The board
// sends some 3,500 lines a second.
func BenchmarkDecode(b *testing.B) {
	stream := []byte(rows(1e9, 1000))
	var d Decoder
	var tally Tally
	b.ReportAllocs()
	b.SetBytes(int64(len(stream)))
	for b.Loop() {
		d.Feed(stream, func(l Line) { tally.Take(&l) })
	}
	b.ReportMetric(float64(b.N)*1000/b.Elapsed().Seconds(), "lines/s")
}

// A header that begins in the middle of a row, where the board was reset, is a
// header all the same, and only the row is damaged.
func TestHeaderWithinRow(t *testing.T) {
	var d Decoder
	var kinds []Kind
	text := line.AppendRow(nil, line.Row{TimeUS: 5, Hall: 5})
	d.Feed(append(text, '\n'), func(Line) {})
	d.Feed([]byte("123,10# handspin-capture: 1\n"), func(l Line) { kinds = append(kinds, l.Kind) })
	if len(kinds) != 2 || kinds[0] != Damaged || kinds[1] != Header {
		t.Errorf("kinds %v, want a damaged line and a header", kinds)
	}
}
