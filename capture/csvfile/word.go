package csvfile

import (
	"regexp"
	"strconv"
	"strings"

	"handspin/capture"
)

// bases are the bases of a word's digits.
var bases = map[string]int{"hex": 16, "dec": 10, "oct": 8, "bin": 2}

const baseNames = "hex dec oct bin"

// wordBit is a word's name and the number of its bit.
var wordBit = regexp.MustCompile(`^(.+)\.(\d{1,2})$`)

// parseWord reads a word of up to 64 bits; base 0 means decimal digits. The
// prefixes 0x and 0b say the base themselves.
func parseWord(text []byte, base int) (uint64, bool) {
	s := lower(string(text))
	for prefix, own := range map[string]int{"0x": 16, "0b": 2} {
		// 0b is a number of base 16 too.
		if rest, ok := strings.CutPrefix(s, prefix); ok && (base == 0 || base == own) {
			s, base = rest, own
			break
		}
	}
	if base == 0 {
		base = 10
	}
	v, err := strconv.ParseUint(s, base, 64)
	return v, err == nil
}

// hasBase reports whether a word says its base itself, as 0x05 and 0b101 do.
func hasBase(text []byte) bool {
	return len(text) > 2 && text[0] == '0' && (text[1]|0x20 == 'x' || text[1]|0x20 == 'b')
}

// wordLevel returns the level of one bit of a word, no level for an empty cell.
func wordLevel(text []byte, c *column) (float64, bool) {
	if len(text) == 0 {
		return capture.Missing, true
	}
	word, ok := parseWord(text, c.unit.base)
	return float64(word >> (c.bit - 1) & 1), ok
}
