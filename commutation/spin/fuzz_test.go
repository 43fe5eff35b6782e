package spin

import (
	"encoding/binary"
	"math"
	"testing"

	"handspin/capture"
	"handspin/commutation"
)

// FuzzAnalyse feeds recordings made of arbitrary bytes: whatever the rows hold,
// there is an answer and no panic, and a list is never called ranked without a
// usable motor.
func FuzzAnalyse(f *testing.F) {
	f.Add([]byte{}, uint8(3), uint8(0))
	f.Add(make([]byte, 4000), uint8(3), uint8(1))
	ramp := make([]byte, 6000)
	for i := range ramp {
		ramp[i] = byte(i * i >> 3)
	}
	for columns := range uint8(4) {
		for scale := range uint8(6) {
			f.Add(ramp, columns, scale)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte, columns, scale uint8) {
		rec := arbitrary(data, int(columns%4), int(scale%6))
		r := Analyse(rec, Options{})
		var ranking commutation.Ranking
		if r.Usable {
			ranking = commutation.Rank(r.Motor, r.Draws, commutation.Typical())
		}
		verdict, confidence := commutation.Decide(ranking, r.Usable, r.Reliability, r.Findings)
		if verdict == commutation.Ranked && !r.Usable || !(confidence >= 0 && confidence <= 1) {
			t.Errorf("verdict %s with confidence %v from a motor that is not usable", verdict, confidence)
		}
	})
}

// arbitrary makes a recording of 8 bytes a row: time step, levels, and a value
// for each column. The scale makes times and values ordinary or extreme.
func arbitrary(data []byte, columns, scale int) *capture.Recording {
	seconds := []float64{1e-4, 1e-3, 1e-6, 1, 1e6, 0}[scale]
	volts := []float64{1, 1e-3, 1e-300, 1e300, 1, 1e12}[scale]
	rec := &capture.Recording{VoltsPerUnit: 1}
	for c := range columns {
		rec.Columns = append(rec.Columns, capture.Column{Signal: capture.Signal(c)})
	}
	now := 0.0
	for ; len(data) >= 8; data = data[8:] {
		now += seconds * float64(data[0]&15)
		rec.Time = append(rec.Time, now)
		rec.Hall = append(rec.Hall, capture.Levels(data[1]&0x77)&^(capture.Levels(data[1]&0x77)>>4))
		edge := data[0]&0x30 == 0x30 && columns > 0
		rec.Edge = append(rec.Edge, edge)
		for c := range columns {
			v := volts * float64(int16(binary.LittleEndian.Uint16(data[2+2*c:])))
			if edge || data[0]&0x40 != 0 && c == 0 {
				v = math.NaN()
			}
			rec.Columns[c].Value = append(rec.Columns[c].Value, v)
		}
	}
	return rec
}
