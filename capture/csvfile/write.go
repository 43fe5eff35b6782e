package csvfile

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"handspin/capture"
)

// Write writes a recording in the recording format, version 1. Time is rounded
// to microseconds and wraps as the board's counter does. What the format has no
// place for is not written: the recording's name, notes and damage.
func Write(w io.Writer, rec *capture.Recording) error {
	out := bufio.NewWriter(w)
	if err := writeHeader(out, rec); err != nil {
		return err
	}
	hall := hasHall(rec)
	out.WriteString("t_us")
	if hall {
		out.WriteString(",hall")
	}
	if len(rec.Index) > 0 {
		out.WriteString(",index")
	}
	for _, c := range rec.Columns {
		out.WriteString("," + c.Signal.String())
	}
	out.WriteString("\n")
	var row []byte
	for i := range rec.Time {
		row = appendRow(row[:0], rec, i, hall)
		out.Write(row)
	}
	return out.Flush()
}

func hasHall(rec *capture.Recording) bool {
	for _, l := range rec.Hall {
		if l != capture.UnknownLevels {
			return true
		}
	}
	return false
}

func appendRow(row []byte, rec *capture.Recording, i int, hall bool) []byte {
	row = strconv.AppendUint(row, uint64(uint32(int64(math.Round(rec.Time[i]*1e6)))), 10)
	if hall {
		row = append(append(row, ','), rec.Hall[i].String()...)
	}
	if len(rec.Index) > 0 {
		row = append(row, ',', '0'+pulsed(rec, i))
	}
	for _, c := range rec.Columns {
		row = append(row, ',')
		switch v := c.Value[i]; {
		case rec.Edge[i]:
		case math.IsNaN(v) || math.IsInf(v, 0):
			// An empty cell would do too, but a row of them is a Hall edge.
			row = append(row, "nan"...)
		default:
			row = strconv.AppendFloat(row, v, 'g', -1, 64)
		}
	}
	return append(row, '\n')
}

// pulsed returns 1 for the first row after an index pulse and 0 for others.
func pulsed(rec *capture.Recording, i int) byte {
	last := math.Inf(-1)
	if i > 0 {
		last = rec.Time[i-1]
	}
	k, _ := slices.BinarySearch(rec.Index, math.Nextafter(last, math.Inf(1)))
	if k < len(rec.Index) && rec.Index[k] <= rec.Time[i] {
		return 1
	}
	return 0
}

// writeHeader writes the keys that the recording has values for, and then its
// other header lines.
func writeHeader(out *bufio.Writer, rec *capture.Recording) error {
	lines := []capture.HeaderLine{{Key: keyVersion, Value: strconv.Itoa(Version)}}
	add := func(key, value string) { lines = append(lines, capture.HeaderLine{Key: key, Value: value}) }
	if len(rec.Columns) > 0 {
		add(keyScale, shortest(rec.VoltsPerUnit))
	}
	if skew, any := skews(rec); any {
		add(keySkew, skew)
	}
	if rec.HallLag != 0 {
		add(keyHallLag, micros(rec.HallLag))
	}
	if leads := rec.Leads.String(); leads != "" {
		if again, err := capture.ParseLeads(leads); err != nil || again != rec.Leads {
			return fmt.Errorf("the lead names %q have no place in the recording format", leads)
		}
		add(keyLeads, leads)
	}
	if rec.PolePairs != 0 {
		add(keyPolePairs, strconv.Itoa(rec.PolePairs))
	}
	if rec.LostSets != 0 || rec.LostEdges != 0 {
		add(keyDropped, fmt.Sprintf("%d,%d", rec.LostSets, rec.LostEdges))
	}
	for _, h := range rec.Header {
		if !written[lower(h.Key)] {
			lines = append(lines, h)
		}
	}
	for _, h := range lines {
		fmt.Fprintf(out, "# %s: %s\n", oneLine.Replace(h.Key), oneLine.Replace(h.Value))
	}
	return nil
}

// written are the keys that come from fields of the recording.
var written = map[string]bool{keyVersion: true, keyScale: true, keySkew: true, keyHallLag: true,
	keyLeads: true, keyPolePairs: true, keyDropped: true}

// oneLine keeps a header value from becoming more than its line.
var oneLine = strings.NewReplacer("\n", " ", "\r", " ")

func skews(rec *capture.Recording) (text string, any bool) {
	values := [3]string{"0", "0", "0"}
	for _, c := range rec.Columns {
		values[c.Signal%3] = micros(c.Skew)
		any = any || c.Skew != 0
	}
	return strings.Join(values[:], ","), any
}

// micros prints seconds as microseconds, to the picosecond.
func micros(seconds float64) string {
	return shortest(math.Round(seconds*1e12) / 1e6)
}

func shortest(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
