package board

import (
	"context"
	"time"
)

// Settings are how the board is to measure, in the words of its header.
type Settings struct {
	Mode      string // fast or safe
	Reference string // supply or internal
}

// usualSettings are those of a board that has just been reset.
var usualSettings = Settings{"fast", "supply"}

// baudOf are the rates of the modes.
var baudOf = map[string]int{"fast": FastBaud, "safe": SafeBaud}

// Set sets the board where its header says that it is set otherwise, now and
// whenever it restarts while it is recorded from. What the board sent before goes
// to take, unless it is in another mode.
func (b *Board) Set(ctx context.Context, s Settings, take func(Line)) error {
	b.want = s
	if err := b.settle(ctx); err != nil {
		return err
	}
	return b.apply(ctx, take)
}

// settle waits until the header is complete; its lines are held for the next read.
func (b *Board) settle(ctx context.Context) error {
	var lines [][]byte
	for end := time.Now().Add(b.patience.answer); !b.complete && time.Now().Before(end); {
		_, err := b.read(ctx, time.Until(end), func(l Line) { lines = append(lines, append([]byte(nil), l.Text...)) })
		if err != nil {
			return err
		}
	}
	b.held = append(lines, b.held...)
	b.restarted = false // this header was waited for
	return nil
}

// apply sends the commands that bring what the header says to what is wanted. A
// board that does not say how it is set is taken to be as usual.
func (b *Board) apply(ctx context.Context, take func(Line)) error {
	b.restarted = false
	if b.differs("mode", b.want.Mode, usualSettings.Mode) {
		if err := b.setMode(ctx, b.want.Mode, take); err != nil {
			return err
		}
	}
	if b.differs("reference", b.want.Reference, usualSettings.Reference) {
		return b.Command(ctx, "reference "+b.want.Reference, take)
	}
	return nil
}

func (b *Board) differs(key, want, usual string) bool {
	have := b.header[key]
	if have == "" {
		have = usual
	}
	return want != "" && have != want
}

func (b *Board) setMode(ctx context.Context, mode string, take func(Line)) error {
	if err := b.Command(ctx, "mode "+mode, take); err != nil {
		return err
	}
	seen, found, err := b.at(ctx, baudOf[mode])
	if err != nil || found {
		return err
	}
	return b.explainSilence(seen)
}

// at looks for a header at a rate, and waits for all of it.
func (b *Board) at(ctx context.Context, baud int) (seen []byte, found bool, err error) {
	if err := b.port.SetBaud(baud); err != nil {
		return nil, false, b.fail(Failed, "", "the port does not do %d bits per second: %v", baud, err)
	}
	b.decoder, b.pending, b.held = Decoder{}, nil, nil
	b.complete = false
	// The header that comes with a change may have been missed: ask soon.
	seen, found, err = b.search(ctx, b.patience.other, b.patience.other/10)
	if err == nil && found {
		err = b.settle(ctx)
	}
	return seen, found, err
}

// note follows what the board says about itself.
func (b *Board) note(l *Line) {
	switch l.Kind {
	case Damaged:
		b.damaged++
		return
	case Names:
		b.complete = true
	case Header:
		if l.Key == "handspin-capture" {
			b.restarted = !b.asking
			b.complete = false
			clear(b.header)
		}
		if !Counter(l.Key) {
			b.header[l.Key] = l.Value
		}
	case Row:
		b.complete = true // or there will be none
	}
	b.damaged = 0
	b.good = time.Time{}
}

// manyDamaged is how many damaged lines without a good one are no passing noise.
const manyDamaged = 20

// astray reports whether nothing but damage has come for a while, as from a board
// that was reset and sends at its first rate again.
func (b *Board) astray() bool {
	if b.damaged < manyDamaged {
		return false
	}
	if b.good.IsZero() {
		b.good = time.Now() // the time begins with the damage
	}
	return time.Since(b.good) >= b.patience.damaged
}

// Recover sets a board anew that has restarted, whose lines go on to take, and
// looks for one that is astray at both rates. Where it is at neither, reading goes
// on as before.
func (b *Board) Recover(ctx context.Context, take func(Line)) error {
	switch {
	case b.restarted && b.complete:
		return b.apply(ctx, take)
	case b.want.Mode == "" || !b.astray():
		return nil
	}
	for _, mode := range []string{other(b.want.Mode), b.want.Mode} {
		_, found, err := b.at(ctx, baudOf[mode])
		if err != nil {
			return err
		}
		if found {
			b.damaged = 0
			return b.apply(ctx, take)
		}
	}
	b.damaged, b.good = 0, time.Time{}
	return nil
}

func other(mode string) string {
	if mode == "safe" {
		return "fast"
	}
	return "safe"
}
