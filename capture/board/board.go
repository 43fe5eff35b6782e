package board

import (
	"bytes"
	"context"
	"sync"
	"time"
)

// The rates of the board's modes, in bits per second. It starts with the first.
const (
	FastBaud = 1000000
	SafeBaud = 500000
)

// Board is a capture board that has been found.
type Board struct {
	name    string
	port    Port
	decoder Decoder
	chunks  chan []byte
	failure error // why chunks was closed
	done    chan struct{}
	closed  sync.Once
	// pending are the bytes from the header's beginning on.
	pending []byte
	// held are lines that came right behind an answer.
	held [][]byte
	// header is what the board last said about itself, complete is whether its
	// lines have all come.
	header   map[string]string
	complete bool
	// restarted is whether a header has come that nobody asked for, asking is
	// whether a command is under way.
	restarted, asking bool
	// want is how the board is to be set.
	want Settings
	// damaged is how many lines have come since the last whole one, good when
	// they began.
	good    time.Time
	damaged int
	// heard is when bytes last came.
	heard time.Time
	// headerless is whether another board's rows are taken without a header.
	headerless bool
	// patience is how long the board is waited for.
	patience patience
}

// patience are times to wait: for a header at the first rate, from when on to ask
// for one and how often, for a header at the other rate, for an answer, and for
// anything at all while recording, and for a whole line among damaged ones.
type patience struct {
	header, ask, again, other, answer, silence, damaged time.Duration
}

// An Uno or a Nano is reset when its port is opened, and its boot loader takes up
// to two seconds before the board's program starts. What is sent meanwhile would
// go to the boot loader. The board reports each second.
var usualPatience = patience{
	header:  4 * time.Second,
	ask:     2200 * time.Millisecond,
	again:   700 * time.Millisecond,
	other:   1500 * time.Millisecond,
	answer:  1500 * time.Millisecond,
	silence: 3 * time.Second,
	damaged: 500 * time.Millisecond,
}

// Open opens the port and waits for the board's header. Errors are [*Error] or the
// context's.
func Open(ctx context.Context, name string) (*Board, error) {
	port, err := openPort(name, FastBaud)
	if err != nil {
		return nil, err
	}
	return attach(ctx, name, port, usualPatience)
}

// Attach waits for the board's header on a port that is open at FastBaud. It takes
// the port over.
func Attach(ctx context.Context, name string, port Port) (*Board, error) {
	return attach(ctx, name, port, usualPatience)
}

func attach(ctx context.Context, name string, port Port, p patience) (*Board, error) {
	b := &Board{
		name: name, port: port, patience: p,
		// Half a minute at the full rate, should the disk be slow.
		chunks: make(chan []byte, 1<<15),
		done:   make(chan struct{}),
		header: map[string]string{},
		heard:  time.Now(),
	}
	// What the port holds already is not thrown away: it may be the header.
	go b.pump()
	if err := b.find(ctx); err != nil {
		b.Close()
		return nil, err
	}
	return b, nil
}

// Name returns the port's name.
func (b *Board) Name() string { return b.name }

// Headerless reports whether the board sends rows that can be read, but no header:
// they are taken as [line.Names] says.
func (b *Board) Headerless() bool { return b.headerless }

// Close closes the port.
func (b *Board) Close() error {
	var err error
	b.closed.Do(func() {
		close(b.done)
		err = b.port.Close()
	})
	return err
}

// pump reads the port, so that nothing overflows while lines are dealt with.
func (b *Board) pump() {
	defer close(b.chunks)
	buffer := make([]byte, 4096)
	for {
		n, err := b.port.Read(buffer)
		if n > 0 {
			select {
			case b.chunks <- bytes.Clone(buffer[:n]):
			case <-b.done:
				return
			}
		}
		if err != nil {
			b.failure = err
			return
		}
		select {
		case <-b.done:
			return
		case <-time.After(gather):
		}
	}
}

// gather is how long the system gathers bytes between two reads: at the full rate
// some 500, of the 4,096 and more that it has room for. Reading each line as it
// comes would take most of the time.
const gather = 5 * time.Millisecond

// receive returns the next bytes; nil where none come in time.
func (b *Board) receive(ctx context.Context, wait time.Duration) ([]byte, error) {
	late := time.NewTimer(wait)
	defer late.Stop()
	select {
	case chunk, ok := <-b.chunks:
		if !ok {
			return nil, b.fail(Unplugged, "plug it in again; its port may have another name now", "the board was unplugged (%v)", b.failure)
		}
		b.heard = time.Now()
		return chunk, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-late.C:
		return nil, nil
	}
}

// Read waits a moment for bytes of the board and calls take for each line that
// they complete. Errors are [*Error] or the context's; that nothing has come for
// long is one.
func (b *Board) Read(ctx context.Context, take func(Line)) error {
	got, err := b.read(ctx, min(b.patience.silence, flushEvery), take)
	if err == nil && !got && time.Since(b.heard) >= b.patience.silence {
		return b.fail(Silent, "see whether the board has power, and plug it in again", "nothing has come for %v", b.patience.silence)
	}
	return err
}

// read is [Board.Read] with a time to wait; it reports whether anything came.
func (b *Board) read(ctx context.Context, wait time.Duration, take func(Line)) (got bool, err error) {
	pass := take
	take = func(l Line) {
		b.note(&l)
		pass(l)
	}
	if held := b.held; len(held) > 0 {
		b.held = nil
		for _, text := range held {
			take(b.decoder.decode(text))
		}
		return true, nil
	}
	chunk := b.pending
	b.pending = nil
	if len(chunk) == 0 {
		if chunk, err = b.receive(ctx, wait); err != nil {
			if ctx.Err() == nil { // a line that is under way is no damage
				b.decoder.Rest(take)
			}
			return false, err
		}
	}
	b.decoder.Feed(chunk, take)
	return len(chunk) > 0, nil
}

// Command sends a command and waits for the board's answer; lines that come
// before it go to take, those behind it to the next [Board.Read].
func (b *Board) Command(ctx context.Context, text string, take func(Line)) error {
	b.asking = true
	defer func() { b.asking = false }()
	var answer string
	listen := func(l Line) {
		if answer != "" {
			b.held = append(b.held, bytes.Clone(l.Text))
			return
		}
		if l.Kind == Header && (l.Key == "ok" || l.Key == "refused") && l.Value == text {
			answer = l.Key
		}
		take(l)
	}
	for try := 0; try < 2 && answer == ""; try++ {
		// The empty line ends what noise may have left in the board.
		if _, err := b.port.Write([]byte("\n" + text + "\n")); err != nil {
			return b.fail(Unplugged, "plug it in again", "the board cannot be written to: %v", err)
		}
		for end := time.Now().Add(b.patience.answer / 2); answer == "" && time.Now().Before(end); {
			if _, err := b.read(ctx, time.Until(end), listen); err != nil {
				return err
			}
		}
	}
	switch answer {
	case "":
		return b.fail(NoAnswer, "plug it in again, or load its program anew: handspin firmware --help", "the board does not answer %q", text)
	case "refused":
		return b.fail(NoAnswer, "load the board's present program: handspin firmware --help", "the board does not know %q", text)
	}
	return nil
}
