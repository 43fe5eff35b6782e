package csvfile

import (
	"math"
	"strconv"
	"strings"

	"handspin/capture"
	"handspin/capture/line"
)

// Version is the version of the recording format that is read and written.
const Version = 1

// Keys of the header lines that mean something to the reader.
const (
	keyVersion   = "handspin-capture"
	keyScale     = "volts_per_count"
	keySkew      = "skew_us"
	keyHallLag   = "hall_lag_us"
	keyLeads     = "leads"
	keyPolePairs = "pole_pairs"
	keySets      = "sets"
	keyDropped   = "dropped"
)

// header is what the header lines say.
type header struct {
	scale      float64
	scaleGiven bool
	skew       [3]float64
}

// headerKey reads what one key says, false where its value is malformed.
type headerKey struct {
	read func(r *reader, value string) bool
	want string
}

var headerKeys = map[string]headerKey{
	keyScale:     {(*reader).readScale, "a number of volts, not negative"},
	keySkew:      {(*reader).readSkew, "three numbers of microseconds"},
	keyHallLag:   {(*reader).readHallLag, "a number of microseconds"},
	keyPolePairs: {(*reader).readPolePairs, "a whole number from 1 up"},
	keySets:      {(*reader).readSets, "a whole number"},
	keyDropped:   {(*reader).readDropped, "two whole numbers"},
}

// headerLine reads the line text[from:to], which begins with #. A line without
// a colon is a comment. The board's lines have a sum; those that people write
// need none.
func (r *reader) headerLine(from, to int) error {
	data, status := line.Strip(r.text[from:to])
	switch {
	case status == line.Good:
		r.sums.headers = true
		to = from + len(data)
	case status == line.Wrong && r.sums.headers:
		r.damaged(from, wrongSum)
		return nil
	}
	key, value, ok := strings.Cut(string(r.text[from+1:to]), ":")
	at := from + 1 + len(key) + 1
	at = r.begin(at, to)
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	if !ok {
		return nil
	}
	if status == line.Absent && r.sums.headers && fromBoard(lower(key)) {
		r.damaged(from, "%s has no sum, though other lines have: it is torn", lower(key))
		return nil
	}
	if err := r.headerValue(lower(key), value, at); err != nil {
		return err
	}
	r.rec.Header = append(r.rec.Header, capture.HeaderLine{Key: key, Value: value})
	return nil
}

func (r *reader) headerValue(key, value string, at int) error {
	switch key {
	case keyVersion:
		if value != strconv.Itoa(Version) {
			return r.fail(at, "a newer handspin may read it", "format version %s, this program reads version %d", capture.Quote(value), Version)
		}
		return nil
	case keyLeads:
		leads, err := capture.ParseLeads(value)
		if err != nil {
			return r.fail(at, "write it as # leads: p1=NAME,h1=NAME", "%v", err)
		}
		r.rec.Leads = leads
		return nil
	}
	k, known := headerKeys[key]
	if !known || k.read(r, value) {
		return nil
	}
	if fromBoard(key) {
		r.damaged(at, "%s is not %s: %s", key, k.want, capture.Quote(value))
		return nil
	}
	return r.fail(at, "correct the line or take it out", "%s is not %s: %s", key, k.want, capture.Quote(value))
}

// fromBoard reports whether the board sends a key between rows, so that it is torn
// as rows are.
func fromBoard(key string) bool { return key == keySets || key == keyDropped }

func (r *reader) readScale(value string) bool {
	v, ok := finite(value)
	// Zero is how a recording says that its scale is not known.
	if !ok || v < 0 {
		return false
	}
	if r.header.scaleGiven && v != r.header.scale {
		r.note("volts_per_count changes from %g to %g in the file; the last is used for all rows", r.header.scale, v)
	}
	r.header.scale, r.header.scaleGiven = v, true
	return true
}

func (r *reader) readSkew(value string) bool {
	parts := strings.Split(value, ",")
	if len(parts) != len(r.header.skew) {
		return false
	}
	for i, p := range parts {
		v, ok := finite(p)
		if !ok {
			return false
		}
		r.header.skew[i] = v / 1e6
	}
	return true
}

func (r *reader) readHallLag(value string) bool {
	v, ok := finite(value)
	r.rec.HallLag = v / 1e6
	return ok
}

func (r *reader) readPolePairs(value string) bool {
	n, err := strconv.Atoi(value)
	r.rec.PolePairs = n
	return err == nil && n >= 1
}

func (r *reader) readSets(value string) bool {
	_, ok := count(value)
	return ok
}

func (r *reader) readDropped(value string) bool {
	a, b, _ := strings.Cut(value, ",")
	sets, ok1 := count(a)
	edges, ok2 := count(b)
	if !ok1 || !ok2 {
		return false
	}
	r.rec.LostSets += sets
	r.rec.LostEdges += edges
	return true
}

// count reads a number of things of at most 32 bits, which is what the board
// counts with.
func count(s string) (int, bool) {
	n, err := strconv.ParseUint(strings.TrimSpace(s), 10, 32)
	return int(n), err == nil
}

func finite(s string) (float64, bool) {
	v, _, ok := parseNumber([]byte(strings.TrimSpace(s)))
	return v, ok && !math.IsInf(v, 0)
}
