package csvfile

// cell is the place of a cell's content in the text, without blanks around it
// and without its quotes.
type cell struct{ from, to int }

// split appends the cells of the line text[from:to] to cells.
func split(text []byte, from, to int, sep byte, cells []cell) []cell {
	for {
		i := from
		for i < to && text[i] != sep && text[i] != '"' {
			i++
		}
		if i < to && text[i] == '"' {
			i = quotedEnd(text, i, to, sep)
		}
		cells = append(cells, trim(text, from, i))
		if i >= to {
			return cells
		}
		from = i + 1
	}
}

// quotedEnd returns the end of a cell whose first quote is at from: separators
// between quotes belong to the cell. Without a closing quote the cell ends at
// the next separator, so that a torn line does not swallow the rest.
func quotedEnd(text []byte, from, to int, sep byte) int {
	inside, bare := false, to
	for i := from; i < to; i++ {
		switch {
		case text[i] == '"':
			inside = !inside
		case text[i] == sep && !inside:
			return i
		case text[i] == sep && bare == to:
			bare = i
		}
	}
	if inside {
		return bare
	}
	return to
}

func trim(text []byte, from, to int) cell {
	for from < to && blank(text[from]) {
		from++
	}
	for from < to && blank(text[to-1]) {
		to--
	}
	if to-from >= 2 && text[from] == '"' && text[to-1] == '"' {
		return trim(text, from+1, to-1)
	}
	return cell{from, to}
}

func blank(c byte) bool { return c == ' ' || c == '\t' || c == '\r' }
