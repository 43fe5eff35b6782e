#include "clock.h"

#include <avr/interrupt.h>

volatile uint32_t clock_base;
volatile uint8_t clock_report_due;

ISR(TIMER1_OVF_vect) {
	static uint8_t count;

	clock_base += CLOCK_OVERFLOW_US;
	if (++count == REPORT_OVERFLOWS) {
		count = 0;
		clock_report_due = 1;
	}
}

void clock_init(void) {
	TCCR1A = 0;
	TCCR1B = _BV(CS11); // F_CPU / 8
	TIMSK1 = _BV(TOIE1);
}
