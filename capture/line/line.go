// Package line is the capture board's line format as far as a single line goes:
// its rows, with the sum that guards each, and its header lines. It is pure.
package line

// Status says what the sum at the end of a line told.
type Status uint8

// The results of [Strip]. Absent stands for a line without a sum, which a file
// may well have.
const (
	Absent Status = iota
	Good
	Wrong
)

// sumLength is the length of "*HH".
const sumLength = 3

// Sum returns the XOR of all bytes of b, as in NMEA 0183.
func Sum(b []byte) byte {
	var sum byte
	for _, c := range b {
		sum ^= c
	}
	return sum
}

// Strip returns the line without its sum and whether the sum was right. The
// line comes without its line end; a line without a sum is returned whole. The
// data is a part of line, not a copy.
func Strip(line []byte) (data []byte, status Status) {
	n := len(line) - sumLength
	if n < 0 || line[n] != '*' {
		return line, Absent
	}
	high, ok1 := hexDigit(line[n+1])
	low, ok2 := hexDigit(line[n+2])
	switch {
	case !ok1 || !ok2:
		return line, Absent
	case Sum(line[:n]) != high<<4|low:
		return line[:n], Wrong
	}
	return line[:n], Good
}

// Append appends data and its sum to dst, without a line end.
func Append(dst, data []byte) []byte {
	const digits = "0123456789ABCDEF"
	sum := Sum(data)
	dst = append(dst, data...)
	return append(dst, '*', digits[sum>>4], digits[sum&15])
}

func hexDigit(c byte) (value byte, ok bool) {
	switch {
	case '0' <= c && c <= '9':
		return c - '0', true
	case 'A' <= c && c <= 'F':
		return c - 'A' + 10, true
	case 'a' <= c && c <= 'f':
		return c - 'a' + 10, true
	}
	return 0, false
}
