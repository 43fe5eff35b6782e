// Package boardtest has stand-ins for a capture board, for tests: a port in memory
// and, on Linux, a pseudo terminal.
package boardtest

import (
	"errors"
	"slices"
	"strings"
	"sync"
	"time"
)

// ErrUnplugged is what a port returns after [Port.Unplug].
var ErrUnplugged = errors.New("unplugged")

// Port is a serial port in memory. A test plays the board's part.
type Port struct {
	// Answer, where set, is called with each line that the host writes, and
	// with the port's present rate; what it returns is sent.
	Answer func(command string, baud int) string
	// Baud are the rates that the host has set, in their order.
	Baud []int

	mu        sync.Mutex
	queue     []byte
	command   strings.Builder
	unplugged bool
}

// Send puts bytes on the line to the host.
func (p *Port) Send(text string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.queue = append(p.queue, text...)
}

// Unplug ends the port once the host has read what was sent.
func (p *Port) Unplug() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.unplugged = true
}

// Read returns what was sent, 0 and no error where that is nothing.
func (p *Port) Read(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	n := copy(b, p.queue)
	p.queue = slices.Delete(p.queue, 0, n)
	switch {
	case n == 0 && p.unplugged:
		return 0, ErrUnplugged
	case n == 0:
		p.mu.Unlock()
		time.Sleep(time.Millisecond)
		p.mu.Lock()
	}
	return n, nil
}

// Write takes what the host writes.
func (p *Port) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.unplugged {
		return 0, ErrUnplugged
	}
	for _, c := range b {
		if c != '\n' {
			p.command.WriteByte(c)
			continue
		}
		if p.command.Len() > 0 && p.Answer != nil {
			p.queue = append(p.queue, p.Answer(p.command.String(), p.baud())...)
		}
		p.command.Reset()
	}
	return len(b), nil
}

func (p *Port) baud() int {
	if len(p.Baud) == 0 {
		return 0
	}
	return p.Baud[len(p.Baud)-1]
}

// SetBaud notes the rate.
func (p *Port) SetBaud(baud int) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.Baud = append(p.Baud, baud)
	return nil
}

// Close ends the port.
func (p *Port) Close() error {
	p.Unplug()
	return nil
}
