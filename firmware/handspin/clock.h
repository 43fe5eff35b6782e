// The board's clock: microseconds since the reset, in 32 bits that wrap.
#pragma once

#include <avr/io.h>
#include <stdint.h>

#include "config.h"

// Timer 1 counts half microseconds and overflows every 32,768 us.
#define CLOCK_OVERFLOW_US 32768UL
_Static_assert(F_CPU == 16000000UL, "timer 1 at F_CPU / 8 must count half microseconds");

// The time of the last overflow that its interrupt has counted.
extern volatile uint32_t clock_base;

// Set by the clock every REPORT_OVERFLOWS, cleared by who reports.
extern volatile uint8_t clock_report_due;

void clock_init(void);

// clock_from returns the time in microseconds for a reading of TCNT1 that is
// less than an overflow old. Interrupts must be off.
static inline uint32_t clock_from(uint16_t ticks) {
	uint16_t now = TCNT1;
	uint32_t base = clock_base;

	if ((TIFR1 & _BV(TOV1)) && !(now & 0x8000))
		base += CLOCK_OVERFLOW_US; // it still waits for its interrupt
	if (ticks > now)
		base -= CLOCK_OVERFLOW_US; // it came after the reading
	return base | (ticks >> 1);
}
