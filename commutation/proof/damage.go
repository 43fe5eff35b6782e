package proof

import (
	"bytes"
	"math/rand/v2"

	"handspin/capture/csvfile"
	"handspin/capture/synth"
)

// Damaged draws a sound case whose recording's text was damaged before it was
// read. ok is false where the text was refused, with the error: that is an
// abstention as well.
func Damaged(seed uint64) (o Outcome, ok bool, err error) {
	d := draw{rand.New(rand.NewPCG(seed, stream+2))}
	kinds := []synth.Kind{synth.Ordinary, synth.SampledHalls, synth.HalfWaves, synth.Lowest, synth.Starless, synth.Short}
	c := Case{Seed: seed, Kind: kinds[d.IntN(len(kinds))], Faults: []string{"damaged"}, Least: May}
	c.Config = synth.Random(c.Kind, seed)
	c.seat(d)
	rec, truth := c.Config.Record()
	var text bytes.Buffer
	if err := csvfile.Write(&text, rec); err != nil {
		return o, false, err
	}
	read, err := csvfile.Read(bytes.NewReader(damage(d, text.Bytes())), "damaged", csvfile.Options{})
	if err != nil {
		return o, false, err
	}
	return c.judge(read, truth), true, nil
}

// damage does up to 30 things to a text as faulty storage and transfer do.
func damage(d draw, text []byte) []byte {
	lines := bytes.SplitAfter(text, []byte("\n"))
	harms := []func(d draw, lines [][]byte) [][]byte{flip, cut, joinLines, repeat, exchange}
	for range 1 + d.IntN(30) {
		lines = harms[d.IntN(len(harms))](d, lines)
	}
	return bytes.Join(lines, nil)
}

// some draws a run of lines, mostly short.
func (d draw) some(lines [][]byte) (from, to int) {
	from = d.IntN(len(lines))
	return from, min(from+1+int(d.ExpFloat64()*50), len(lines))
}

// flip turns over a bit here and there in a run of lines.
func flip(d draw, lines [][]byte) [][]byte {
	from, to := d.some(lines)
	for i := from; i < to; i++ {
		if n := len(lines[i]); n > 0 && d.IntN(4) == 0 {
			line := bytes.Clone(lines[i])
			line[d.IntN(n)] ^= 1 << d.IntN(8)
			lines[i] = line
		}
	}
	return lines
}

// cut leaves lines out, the first in the middle.
func cut(d draw, lines [][]byte) [][]byte {
	from, to := d.some(lines)
	out := append([][]byte{}, lines[:from]...)
	if n := len(lines[from]); n > 0 {
		out = append(out, lines[from][:d.IntN(n)])
	}
	out = append(out, lines[to:]...)
	if len(out) == 0 {
		return lines
	}
	return out
}

// joinLines takes the ends of lines away.
func joinLines(d draw, lines [][]byte) [][]byte {
	from, to := d.some(lines)
	for i := from; i < to; i++ {
		if d.IntN(4) == 0 {
			lines[i] = bytes.TrimSuffix(lines[i], []byte("\n"))
		}
	}
	return lines
}

// repeat writes a run of lines twice.
func repeat(d draw, lines [][]byte) [][]byte {
	from, to := d.some(lines)
	out := append([][]byte{}, lines[:to]...)
	out = append(out, lines[from:to]...)
	return append(out, lines[to:]...)
}

// exchange makes two runs of lines change places.
func exchange(d draw, lines [][]byte) [][]byte {
	a, b := d.some(lines)
	c, e := d.some(lines)
	if c < a {
		a, b, c, e = c, e, a, b
	}
	if b > c {
		return lines
	}
	var out [][]byte
	for _, part := range [][2]int{{0, a}, {c, e}, {b, c}, {a, b}, {e, len(lines)}} {
		out = append(out, lines[part[0]:part[1]]...)
	}
	return out
}
