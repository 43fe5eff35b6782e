package board

import (
	"context"
	"time"
)

// Sink takes the lines of a recording.
type Sink interface {
	Line(text []byte)
	Flush() error
}

// flushEvery bounds what a crash costs.
const flushEvery = time.Second / 2

// Record passes the board's lines to watch, which may change their text, and then
// to the sink, until the context ends or something fails. What came before is
// flushed in any case. The end of the context is no error.
func Record(ctx context.Context, b *Board, to Sink, watch func(*Line)) error {
	last := time.Now()
	var now Line // one for all, which saves an allocation per line
	take := func(l Line) {
		now = l
		watch(&now)
		to.Line(now.Text)
	}
	for {
		err := b.Read(ctx, take)
		if err == nil {
			err = b.Recover(ctx, take)
		}
		if ctx.Err() != nil {
			return to.Flush()
		}
		if err != nil {
			to.Flush()
			return err
		}
		if time.Since(last) >= flushEvery {
			last = time.Now()
			if err := to.Flush(); err != nil {
				return err
			}
		}
	}
}
