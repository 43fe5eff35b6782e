#include "hall.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>
#include <util/delay.h>

#include "clock.h"

_Static_assert((EDGE_RING & (EDGE_RING - 1)) == 0, "the ring's indices wrap by a mask");

volatile uint8_t hall_levels;

// Only the interrupt writes head, only the main loop writes tail.
static struct edge ring[EDGE_RING];
static volatile uint8_t head, tail;
static volatile uint16_t dropped;

// keep is called with interrupts off.
static inline void keep(uint16_t ticks, uint8_t levels) {
	uint8_t next = (head + 1) & (EDGE_RING - 1);

	hall_levels = levels;
	if (next == tail) {
		if (dropped != UINT16_MAX)
			dropped++;
		return;
	}
	struct edge *e = &ring[head];
	e->t_us = clock_from(ticks);
	e->levels = levels;
	head = next;
}

// A pulse shorter than the interrupt takes to look leaves the level as it was
// and no edge.
ISR(PCINT0_vect) {
	uint16_t ticks = TCNT1;
	uint8_t levels = PINB & HALL_MASK;

	if (levels != hall_levels)
		keep(ticks, levels);
}

void hall_start(void) {
	PORTB |= HALL_MASK; // weak pull-ups, for lines that nothing drives
	_delay_us(10);
	ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
		PCMSK0 = HALL_MASK;
		PCIFR = _BV(PCIF0);
		PCICR = _BV(PCIE0);
		keep(TCNT1, PINB & HALL_MASK);
	}
}

void hall_stop(void) { PCICR = 0; }

uint8_t hall_take(struct edge *e) {
	uint8_t at = tail;

	if (at == head)
		return 0;
	*e = ring[at];
	tail = (at + 1) & (EDGE_RING - 1);
	return 1;
}

uint16_t hall_dropped(void) {
	uint16_t n;

	ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
		n = dropped;
		dropped = 0;
	}
	return n;
}
