package csvfile

import "regexp"

// blankRow is a row of at least three numbers with nothing but blanks between them.
var blankRow = regexp.MustCompile(`(?m)^[ ]*[-+]?[.\d][-+.\deE]*(?:[ ]+[-+]?[.\d][-+.\deE]*){2,}[ ]*\r?$`)

// otherRow is a line with a mark that parts cells elsewhere, comments aside.
var otherRow = regexp.MustCompile(`(?m)^[^#;\r\n][^,;\t\r\n]*[,;\t]`)

// partedByBlanks reports whether the rows of a text are numbers with blanks between
// them, as a short program prints them.
func partedByBlanks(text []byte) bool {
	head := text[:min(len(text), sampled)]
	return len(blankRow.FindAllIndex(head, minRows)) == minRows && !otherRow.Match(head)
}

// withCommas returns a text with a comma for the first blank between two words of
// each line that is no comment, all else in its place.
func withCommas(text []byte) []byte {
	out := append([]byte(nil), text...)
	word, comment := false, false // whether the line has begun, and is a comment
	for i, c := range out {
		switch {
		case c == '\n':
			word, comment = false, false
		case blank(c):
			if word && !comment && !blank(out[i-1]) && out[i-1] != ',' && c == ' ' && wordFollows(out[i:]) {
				out[i] = ','
			}
		case !word:
			word, comment = true, c == '#'
		}
	}
	return out
}

// wordFollows reports whether there is a word in the line after its blanks.
func wordFollows(text []byte) bool {
	for _, c := range text {
		if !blank(c) {
			return c != '\n'
		}
	}
	return false
}
