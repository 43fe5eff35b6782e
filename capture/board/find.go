package board

import (
	"bytes"
	"context"
	"strings"
	"time"

	"handspin/capture/line"
)

// magic begins a header.
const magic = "# handspin-capture: "

// version is the version of the recording format that the board must send.
const version = "1"

// find waits for a header, first at the port's present rate and, where what comes
// is not text, at the rate of the safe mode.
func (b *Board) find(ctx context.Context) error {
	seen, found, err := b.search(ctx, b.patience.header, b.patience.ask)
	if err == nil && !found && len(seen) > 0 && !isText(seen) {
		if b.port.SetBaud(SafeBaud) == nil {
			var other []byte
			if other, found, err = b.search(ctx, b.patience.other, 0); len(other) > 0 {
				seen = other
			}
		}
	}
	if err != nil || found {
		return err
	}
	if rows := rowsIn(seen); rows != nil {
		b.headerless = true
		b.pending = append([]byte(line.Names+"\n"), rows...)
		return nil
	}
	return b.explainSilence(seen)
}

// enoughRows in a row without a header are those of a board that sends none.
const enoughRows = 10

// rowsIn returns the rows that a text ends with, nil where they are too few. The
// first line, which may be cut, does not count.
func rowsIn(seen []byte) []byte {
	from, n := -1, 0
	for at := bytes.IndexByte(seen, '\n') + 1; at > 0; {
		end := bytes.IndexByte(seen[at:], '\n')
		if end < 0 {
			break
		}
		var d Decoder
		if d.decode(bytes.TrimSuffix(seen[at:at+end], []byte("\r"))).Kind != Row {
			from, n = -1, 0
		} else if n++; from < 0 {
			from = at
		}
		at += end + 1
	}
	if n < enoughRows {
		return nil
	}
	return seen[from:]
}

// search reads until a header comes or time is up. It asks for one after a while,
// since not every board is reset when its port is opened. It returns what came
// instead, at most the last of it.
func (b *Board) search(ctx context.Context, patience, ask time.Duration) (seen []byte, found bool, err error) {
	begin := time.Now()
	for nextAsk := ask; time.Since(begin) < patience; {
		if time.Since(begin) >= nextAsk {
			// The empty line ends what noise may have left in the board.
			b.port.Write([]byte("\nheader\n"))
			nextAsk += b.patience.again
		}
		chunk, err := b.receive(ctx, 20*time.Millisecond)
		if err != nil {
			return seen, false, err
		}
		seen = append(seen, chunk...)
		if at := headerAt(seen); at >= 0 {
			b.pending = seen[at:]
			return nil, true, b.checkVersion(b.pending)
		}
		if len(seen) > 1<<16 {
			seen = append(seen[:0], seen[1<<15:]...)
		}
	}
	return seen, false, nil
}

// headerAt returns where a header with its version begins, -1 where there is none.
func headerAt(text []byte) int {
	at := bytes.LastIndex(text, []byte(magic))
	if at < 0 || bytes.IndexByte(text[at:], '\n') < 0 {
		return -1
	}
	return at
}

func (b *Board) checkVersion(header []byte) error {
	first, _, _ := bytes.Cut(header, []byte("\n"))
	first, _ = line.Strip(bytes.TrimSuffix(first, []byte("\r")))
	got := strings.TrimSpace(string(first[len(magic):]))
	if got == version {
		return nil
	}
	return b.fail(WrongVersion, "load this program's image into the board: handspin firmware --help",
		"the board sends version %q of the format, this program reads version %s", got, version)
}

// explainSilence says what it means that no header came.
func (b *Board) explainSilence(seen []byte) error {
	switch {
	case len(seen) == 0:
		return b.fail(Silent, "see that it is the board's port, and load its program: handspin firmware --help", "nothing comes from the port")
	case !isText(seen):
		return b.fail(WrongBaud, "see that it is the board's port; if it is, load its program: handspin firmware --help",
			"what comes is not text at %d or %d bits per second", FastBaud, SafeBaud)
	}
	return b.fail(NotOurBoard, "see that it is the board's port; if it is, load its program: handspin firmware --help",
		"this is not the capture board; it sends %q", sample(seen))
}

// isText reports whether most of it is printable.
func isText(seen []byte) bool {
	odd := 0
	for _, c := range seen {
		if (c < ' ' || c > '~') && c != '\r' && c != '\n' && c != '\t' {
			odd++
		}
	}
	return odd*10 <= len(seen)
}

// sample returns the last whole line, cut to what fits a message.
func sample(seen []byte) string {
	lines := strings.FieldsFunc(string(seen), func(r rune) bool { return r == '\n' || r == '\r' })
	if len(lines) == 0 {
		return ""
	}
	last := lines[max(0, len(lines)-2)]
	return last[:min(len(last), 40)]
}
