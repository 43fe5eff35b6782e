#include "uart.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <util/atomic.h>
#include <util/delay.h>

// The divisor of the double-speed mode, rounded, and what it is off by in parts
// of ten thousand.
#define DIVISOR(baud) ((F_CPU + 4 * (baud)) / (8 * (baud)) - 1)
#define RATE(baud) (F_CPU / 8 / (DIVISOR(baud) + 1))
#define OFF(baud) ((RATE(baud) > (baud) ? RATE(baud) - (baud) : (baud)-RATE(baud)) * 10000 / (baud))

// 10 bits tolerate some 4 % between both ends; half a per cent leaves room for
// the resonators.
_Static_assert(OFF(FAST_BAUD) <= 50, "the baud rate of the fast mode is off by over 0.5 %");
_Static_assert(OFF(SAFE_BAUD) <= 50, "the baud rate of the safe mode is off by over 0.5 %");

// The ring's indices wrap by themselves, and its alignment makes an index the low
// byte of an address. Only the main loop writes head, only the interrupt writes
// tail.
uint8_t uart_ring[256] __attribute__((aligned(256)));
static volatile uint8_t head, tail;

static char command[COMMAND_LENGTH + 1];
static volatile uint8_t received; // bytes in command
static volatile uint8_t cut, ready;

#define ENABLED (_BV(RXCIE0) | _BV(RXEN0) | _BV(TXEN0))

// This interrupt comes with each byte, 100,000 times a second. By hand it takes
// 40 cycles instead of 60, and the other interrupts are less late.
ISR(USART_UDRE_vect, ISR_NAKED) {
	__asm__ volatile("push r30\n\t"
			 "push r31\n\t"
			 "in r30, __SREG__\n\t"
			 "push r30\n\t"
			 "lds r30, %[tail]\n\t"
			 "ldi r31, hi8(%[ring])\n\t"
			 "ld r31, Z\n\t"
			 "sts %[UDR0_], r31\n\t"
			 "inc r30\n\t"
			 "sts %[tail], r30\n\t"
			 "lds r31, %[head]\n\t"
			 "cp r30, r31\n\t"
			 "brne 1f\n\t"
			 "ldi r30, %[enabled]\n\t" // that was the last one
			 "sts %[UCSR0B_], r30\n"
			 "1:\n\t"
			 "pop r30\n\t"
			 "out __SREG__, r30\n\t"
			 "pop r31\n\t"
			 "pop r30\n\t"
			 "reti" ::[tail] "i"(&tail),
			 [head] "i"(&head), [ring] "i"(uart_ring), [UDR0_] "n"(_SFR_MEM_ADDR(UDR0)),
			 [UCSR0B_] "n"(_SFR_MEM_ADDR(UCSR0B)), [enabled] "n"(ENABLED));
}

// A command that arrives before the last one is done is lost; the host waits
// for the answer.
ISR(USART_RX_vect) {
	char c = UDR0;

	if (ready)
		return;
	if (c == '\n' || c == '\r')
		ready = received > 0;
	else if (received < COMMAND_LENGTH)
		command[received++] = c;
	else
		cut = 1;
}

void uart_init(uint32_t baud) {
	if (UCSR0B) {
		uart_wait(255);
		loop_until_bit_is_set(UCSR0A, UDRE0);
		_delay_us(10 * 1e6 / SAFE_BAUD); // the byte on the wire
	}
	UCSR0A = _BV(U2X0);
	UCSR0C = _BV(UCSZ01) | _BV(UCSZ00);
	UBRR0 = baud == FAST_BAUD ? DIVISOR(FAST_BAUD) : DIVISOR(SAFE_BAUD);
	UCSR0B = ENABLED;
}

uint8_t uart_room(void) { return tail - head - 1; }

uint8_t uart_begin(void) { return head; }

void uart_commit(uint8_t end) {
	head = end;
	ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
		UCSR0B = ENABLED | _BV(UDRIE0);
	}
}

void uart_wait(uint8_t n) {
	for (;;) {
		cli();
		if (uart_room() >= n)
			break;
		sei();
		sleep_cpu(); // the instruction after sei comes before any interrupt
	}
	sei();
}

const char *uart_command(uint8_t *too_long) {
	if (!ready)
		return 0;
	command[received] = 0;
	*too_long = cut;
	return command;
}

void uart_next(void) {
	received = 0;
	cut = 0;
	ready = 0;
}
