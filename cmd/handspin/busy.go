package main

import (
	"fmt"
	"io"
	"sync"
	"time"

	"handspin/cmd/handspin/internal/present"
)

// busy says what a command is at where that takes its time: on a terminal in a
// line that changes and goes away, elsewhere in a line for each step.
type busy struct {
	out      io.Writer
	terminal bool
	after    time.Duration

	mu     sync.Mutex
	step   string
	share  string // how much of the step is done, where that is known
	began  time.Time
	told   string // what was printed last
	ticker *time.Ticker
	ended  chan struct{}
}

// busyAfter is how long a step may take without a word, and busyEvery how often
// is looked. Tests of what is printed let it be silent.
var busyAfter = time.Second

const busyEvery = 250 * time.Millisecond

func newBusy(out io.Writer, after, every time.Duration) *busy {
	b := &busy{out: out, terminal: isTerminal(out), after: after, began: time.Now(),
		ticker: time.NewTicker(every), ended: make(chan struct{})}
	go func() {
		for {
			select {
			case <-b.ticker.C:
				b.tell()
			case <-b.ended:
				return
			}
		}
	}()
	return b
}

// begin says which step is under way; a nil busy says nothing.
func (b *busy) begin(format string, args ...any) {
	if b == nil {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.step, b.share, b.began = present.Clean(fmt.Sprintf(format, args...)), "", time.Now()
}

// done says how much of the step is done.
func (b *busy) done(part, all int) {
	if b == nil || all == 0 {
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.share = fmt.Sprintf(", %.0f %%", 100*float64(part)/float64(all))
}

func (b *busy) tell() {
	b.mu.Lock()
	defer b.mu.Unlock()
	text := b.step
	if b.terminal {
		text += b.share
	}
	if b.step == "" || text == b.told || time.Since(b.began) < b.after {
		return
	}
	if b.terminal {
		b.wipe()
		fmt.Fprintf(b.out, "handspin: %s", text)
	} else {
		fmt.Fprintf(b.out, "handspin: %s\n", text)
	}
	b.told = text
}

// wipe clears the terminal's line.
func (b *busy) wipe() {
	if b.told != "" {
		fmt.Fprintf(b.out, "\r%-*s\r", len("handspin: ")+len(b.told), "")
	}
}

// end stops the telling and wipes the line.
func (b *busy) end() {
	b.ticker.Stop()
	close(b.ended)
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.terminal {
		b.wipe()
	}
	b.step = ""
}
