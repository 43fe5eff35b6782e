package csvfile

import (
	"bytes"
	"regexp"
	"slices"
)

// labelledCell is a number with its name before it, as a serial plotter takes it
// (A0:512), as programs print it (A0=512) and as JSON has it ("A0":512).
var labelledCell = regexp.MustCompile(`[{ \t]*("?)([A-Za-z_][\w .()\[\]/-]*?)("?)[ \t]*[:=][ \t]*("?[-+]?(?:\d[\d.eE+-]*|\.\d[\d.eE+-]*|true|false|null|nan|NaN)"?)[ \t}]*([,;]|$)?`)

// fewLabels is how many cells a row has at least that is taken for one of these.
const fewLabels = 3

// withNames returns a text whose rows have the names of their cells beside them as
// one with a line of names, which is put before the first: lead is its length. What
// else was in the rows becomes blanks, so that places stay as they are.
func withNames(text []byte) (out []byte, lead int) {
	names := firstLabels(text)
	if names == nil {
		return text, 0
	}
	head := append(bytes.Join(names, []byte{','}), '\n')
	out = append(head, text...)
	s := source{text: out}
	for at := len(head); at < len(out); {
		to, next := s.line(at)
		if cells := labels(out[at:to]); sameLabels(out[at:to], cells, names) {
			onlyValues(out[at:to], cells)
		}
		at = next
	}
	return out, len(head)
}

// firstLabels returns the names in the first rows, nil where not all of those have
// the same: the first of all may be torn.
func firstLabels(text []byte) (names [][]byte) {
	s, n := source{text: text[:min(len(text), sampled)]}, 0
	var rows [][]byte
	s.lines(func(from, to int) bool {
		rows = append(rows, s.text[from:to])
		n++
		return n <= minRows
	})
	if len(rows) <= minRows {
		return nil
	}
	for i, row := range rows[1:] {
		cells := labels(row)
		if i == 0 {
			for _, c := range cells {
				names = append(names, bytes.TrimSpace(row[c[4]:c[5]]))
			}
		}
		if len(cells) < fewLabels || !sameLabels(row, cells, names) {
			return nil
		}
	}
	return names
}

// labels returns the places of a row's cells, nil where there is something else in
// it.
func labels(row []byte) (cells [][]int) {
	end := 0
	for _, c := range labelledCell.FindAllSubmatchIndex(row, -1) {
		if c[0] != end {
			return nil
		}
		cells, end = append(cells, c), c[1]
	}
	if len(bytes.Trim(row[end:], " \t\r,;")) > 0 {
		return nil
	}
	return cells
}

func sameLabels(row []byte, cells [][]int, names [][]byte) bool {
	return slices.EqualFunc(cells, names, func(c []int, name []byte) bool {
		return bytes.Equal(bytes.TrimSpace(row[c[4]:c[5]]), name)
	})
}

// onlyValues leaves a row's values with commas between them.
func onlyValues(row []byte, cells [][]int) {
	for i, c := range cells {
		for k := c[0]; k < c[1]; k++ {
			if k < c[8] || k >= c[9] {
				row[k] = ' '
			}
		}
		if i > 0 {
			row[c[0]] = ',' // where its name began
		}
	}
	for k := cells[len(cells)-1][1]; k < len(row); k++ {
		row[k] = ' '
	}
}
