package csvfile

import (
	"bytes"
	"encoding/binary"
	"regexp"
	"unicode/utf16"
	"unicode/utf8"
)

var (
	littleEndian = []byte{0xff, 0xfe}
	bigEndian    = []byte{0xfe, 0xff}
)

// readable returns text without what programs put around it: byte order marks,
// UTF-16, line ends of carriage returns alone, a terminal's escape codes and the
// stamps of a serial monitor. Places in a text of UTF-8 stay as they are, since
// codes, stamps and typesetters' marks become blanks, but for lead bytes that are put
// before it. text itself is not changed.
func readable(text []byte) (out []byte, lead int) {
	text = withLineEnds(UTF8(text))
	if bytes.IndexByte(text, escape) >= 0 {
		text = blanked(text, escapeCode)
	}
	text = typed(text)
	if stamp.Match(text[:min(len(text), sampled)]) {
		text = blanked(text, stamp)
	}
	text, lead = withNames(withNamesBared(withoutRules(text)))
	if lead == 0 {
		text, lead = withUnitsNamed(text)
	}
	if lead == 0 && partedByBlanks(text) {
		text = withCommas(text)
	}
	return text, lead
}

// UTF8 returns text without its byte order mark; text of UTF-16, with such a mark or
// by its zeros, becomes UTF-8.
func UTF8(text []byte) []byte {
	switch {
	case bytes.HasPrefix(text, littleEndian):
		text = fromUTF16(text[2:], binary.LittleEndian)
	case bytes.HasPrefix(text, bigEndian):
		text = fromUTF16(text[2:], binary.BigEndian)
	case zerosAt(text, 1):
		text = fromUTF16(text, binary.LittleEndian)
	case zerosAt(text, 0):
		text = fromUTF16(text, binary.BigEndian)
	}
	return bytes.TrimPrefix(text, []byte("\ufeff"))
}

// zerosAt reports whether every second byte of the beginning is zero, from byte
// first on, and no other: so is plain text in UTF-16.
func zerosAt(text []byte, first int) bool {
	head := text[:min(len(text), 64)]
	zeros := 0
	for i, c := range head {
		switch {
		case i%2 != first && c == 0:
			return false
		case i%2 == first && c == 0:
			zeros++
		}
	}
	// A letter beyond ASCII, such as a micro sign of Greek, is a rare exception.
	return len(head) >= 8 && zeros >= len(head)/2-2
}

const escape = 0x1b

var (
	// An escape code is a control sequence of ECMA-48, section 5.4.
	escapeCode = regexp.MustCompile(`\x1b\[[0-?]*[ -/]*[@-~]`)
	// A stamp has hours and minutes with or without a leading zero.
	stamp = regexp.MustCompile(`(?m)^[ \t\r]*\d{1,2}:\d{1,2}:\d{1,2}(?:\.\d+)? ->[ \t]?`)
)

// blanked returns text with blanks in place of what the pattern finds.
func blanked(text []byte, pattern *regexp.Regexp) []byte {
	out := bytes.Clone(text)
	for _, at := range pattern.FindAllIndex(text, -1) {
		for i := at[0]; i < at[1]; i++ {
			out[i] = ' '
		}
	}
	return out
}

// fromUTF16 returns UTF-16 text as UTF-8. Half a unit at the end is left out.
func fromUTF16(text []byte, order binary.ByteOrder) []byte {
	out := make([]byte, 0, len(text)/2)
	for i := 0; i+1 < len(text); i += 2 {
		r := rune(order.Uint16(text[i:]))
		if utf16.IsSurrogate(r) && i+3 < len(text) {
			if both := utf16.DecodeRune(r, rune(order.Uint16(text[i+2:]))); both != utf8.RuneError {
				r = both
				i += 2
			}
		}
		out = utf8.AppendRune(out, r)
	}
	return out
}
