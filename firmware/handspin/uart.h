// The serial line: a ring of bytes to send, a line of bytes received.
#pragma once

#include <stdint.h>

#include "config.h"

// uart_init sets the baud rate, one of those in config.h, and 8 data bits, no
// parity, one stop bit. What is still to be sent goes out at the old rate first.
void uart_init(uint32_t baud);

// uart_room returns how many bytes can be put without waiting.
uint8_t uart_room(void);

// uart_begin begins a line of which the caller has made sure that it fits;
// bytes go to the place that it returns, through uart_append.
uint8_t uart_begin(void);
extern uint8_t uart_ring[256];

// uart_append puts a byte and returns the next place.
static inline uint8_t uart_append(uint8_t at, uint8_t byte) {
	uart_ring[at] = byte;
	return at + 1;
}

// uart_commit sends what was put before place `end`.
void uart_commit(uint8_t end);

// uart_wait waits until there is room for n bytes, of 255 at most.
void uart_wait(uint8_t n);

// uart_command returns the host's command without its line end, and 0 where no
// whole one has come. It is the caller's until uart_next. A command that is too
// long comes cut off, and *too_long is set.
const char *uart_command(uint8_t *too_long);
void uart_next(void);
