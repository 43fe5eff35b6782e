package present

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Clean returns s with everything that does not print shown as an escape such
// as \x1b: control characters, which a terminal would obey, marks that turn the
// direction of writing, and bytes that are not UTF-8.
func Clean(s string) string {
	if strings.IndexFunc(s, unprintable) < 0 {
		return s
	}
	var b strings.Builder
	for i, r := range s {
		switch {
		case r == utf8.RuneError && !strings.HasPrefix(s[i:], string(utf8.RuneError)):
			fmt.Fprintf(&b, `\x%02x`, s[i])
		case unprintable(r):
			quoted := strconv.QuoteRune(r)
			b.WriteString(quoted[1 : len(quoted)-1])
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// unprintable also is true of what an invalid byte decodes to.
func unprintable(r rune) bool { return r == utf8.RuneError || !strconv.IsPrint(r) }
