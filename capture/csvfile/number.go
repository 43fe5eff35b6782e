package csvfile

import (
	"bytes"
	"math"
	"strconv"
	"strings"
)

// pow10 are the powers of ten that a float64 holds exactly.
var pow10 = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// exactDigits is how many decimal digits always fit the 53 bits of a float64.
const exactDigits = 15

// parseNumber returns the value of a decimal number, the same to the last bit
// as [strconv.ParseFloat], and its decimal mark: '.', ',' or 0 for none.
//
// A number of up to 15 digits scaled by a power of ten up to 10^22 is one
// multiplication or division of two exact values and so rounded once, which is
// the correct rounding (W. D. Clinger, How to Read Floating Point Numbers
// Accurately, 1990, from memory). All others go to strconv.
func parseNumber(b []byte) (v float64, mark byte, ok bool) {
	i := 0
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		i = 1
	}
	var mantissa uint64
	digits, fraction := 0, 0
scan:
	for ; i < len(b); i++ {
		switch c := b[i]; {
		case '0' <= c && c <= '9':
			mantissa = mantissa*10 + uint64(c-'0')
			digits++
			if mark != 0 {
				fraction++
			}
		case (c == '.' || c == ',') && mark == 0:
			mark = c
		default:
			break scan
		}
	}
	exponent, ok := parseExponent(b[i:])
	if !ok || digits == 0 {
		return 0, 0, false
	}
	v, ok = scale(mantissa, digits, exponent-fraction)
	if !ok {
		return parseSlowly(b, mark)
	}
	if b[0] == '-' {
		v = -v
	}
	return v, mark, true
}

// scale returns mantissa * 10^exponent where that is exact before its one
// rounding.
func scale(mantissa uint64, digits, exponent int) (v float64, ok bool) {
	switch {
	case digits > exactDigits:
		return 0, false
	case 0 <= exponent && exponent < len(pow10):
		return float64(mantissa) * pow10[exponent], true
	case exponent < 0 && -exponent < len(pow10):
		return float64(mantissa) / pow10[-exponent], true
	}
	return 0, false
}

// parseExponent reads nothing or an exponent such as e-3.
func parseExponent(b []byte) (exponent int, ok bool) {
	if len(b) == 0 {
		return 0, true
	}
	exponent, n := leadingExponent(b)
	return exponent, n > 0 && n == len(b)
}

// leadingExponent reads the exponent at the beginning of b, and returns how many bytes
// it has, 0 for none. One beyond the range of a float64 is cut to one that is still
// beyond it.
func leadingExponent(b []byte) (exponent, n int) {
	if len(b) == 0 || b[0]|0x20 != 'e' {
		return 0, 0
	}
	n = 1
	negative := n < len(b) && b[n] == '-'
	if negative || n < len(b) && b[n] == '+' {
		n++
	}
	first := n
	for ; n < len(b) && b[n]-'0' <= 9; n++ {
		exponent = min(exponent*10+int(b[n]-'0'), 1<<20)
	}
	if n == first {
		return 0, 0
	}
	if negative {
		exponent = -exponent
	}
	return exponent, n
}

// parseSlowly parses a well-formed number. One beyond the range of a float64 is
// infinite, as strconv says with its error.
func parseSlowly(b []byte, mark byte) (float64, byte, bool) {
	if mark == ',' {
		b = bytes.Replace(b, []byte{','}, []byte{'.'}, 1)
	}
	v, err := strconv.ParseFloat(string(b), 64)
	return v, mark, err == nil || math.IsInf(v, 0)
}

// sentinel is the least magnitude of the number 9.9E37 or 9.91E37 that
// instruments write where they have no value (SCPI's infinity and not-a-number).
const sentinel = 9.9e37

// noValue are the words for no value, of programs, spreadsheets and databases.
var noValue = map[string]bool{"nan": true, "na": true, "n/a": true, "#n/a": true, "#nv": true, "null": true, "none": true, "nil": true, "?": true}

// missing reports whether a cell says that there is no value: nan, what the
// run-time library of some writers prints for it, or a mark of a value beyond the
// range.
func missing(b []byte) bool {
	s := bareWord(b)
	return noValue[s] || len(b) > 1 && strings.Trim(s, "-") == "" || strings.HasPrefix(s, "1.#") || overflowed(b)
}

// overflowed reports whether a cell says that its value is beyond the instrument's
// range.
func overflowed(b []byte) bool {
	switch s := bareWord(b); s {
	case "inf", "infinity", "∞", "ol", "overflow", "overload", "overrange":
		return true
	default:
		return strings.HasPrefix(s, "1.#inf") || len(b) > 1 && s != "" && strings.Trim(s, "*") == ""
	}
}

// bareWord returns a cell in lower case without its sign.
func bareWord(b []byte) string { return strings.TrimLeft(strings.ToLower(string(b)), "+-") }
