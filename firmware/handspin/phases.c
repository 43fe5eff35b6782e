#include "phases.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/atomic.h>
#include <util/delay.h>

#include "clock.h"
#include "hall.h"

_Static_assert((SET_RING & (SET_RING - 1)) == 0, "the ring's indices wrap by a mask");

// The internal reference in millivolts, and its channel. A part's own may be a
// tenth off.
#define INTERNAL_MV 1100UL
#define INTERNAL_CHANNEL 0x0e

// How long the internal reference takes to settle when it was the supply before:
// the capacitor at AREF, often 100 nF, discharges into some 32 kOhm; ten time
// constants. The way back is short.
#define SETTLE_MS 35
#define SUPPLY_SETTLE_MS 2

// Only the interrupt writes head, only the main loop writes tail. The set at
// head is the one that is being summed.
static struct set ring[SET_RING];
static volatile uint8_t head, tail;
static volatile uint16_t dropped;

// What the interrupt must remember from one time to the next, as bits that can be
// set and tested without touching the flags. BUSY: it is not done yet. SPOILED: a
// conversion has ended meanwhile, and none goes on.
#define BUSY_BIT 1
#define SPOILED_BIT 2
#define BUSY _BV(BUSY_BIT)
#define SPOILED _BV(SPOILED_BIT)

static uint8_t channel; // being converted
static uint8_t passing; // whether that conversion is passed over
static uint16_t *place; // what its value is added to
static uint8_t rounds, rounds_left;
static uint8_t reference_bits;
// What the interrupt writes to ADCSRA and, for the conversion after this one, ADMUX.
static volatile uint8_t control, next_mux;
// The clock, the Hall levels and the value when the last conversion had ended.
static volatile uint16_t end_ticks;
static volatile uint8_t end_levels;
static volatile uint16_t end_value;

static inline void clear(struct set *s) {
	for (uint8_t i = 0; i < LEADS; i++)
		s->sum[i] = 0;
	place = s->sum;
}

static inline void drop(void) {
	if (dropped != UINT16_MAX)
		dropped++;
}

// finish keeps the set at head and begins the next.
static inline void finish(void) {
	struct set *s = &ring[head];
	uint8_t next = (head + 1) & (SET_RING - 1);

	ATOMIC_BLOCK(ATOMIC_FORCEON) {
		s->t_us = clock_from(end_ticks);
	}
	s->levels = end_levels;
	if (s->t_us >= LONG_STAMP_US) {
		passing = 1;
		next_mux = reference_bits; // the first lead once more
	}
	if (next == tail) {
		drop(); // and the same place is used again
	} else if (!(GPIOR0 & SPOILED)) { // or else restart drops it
		head = next;
		s = &ring[next];
	}
	clear(s);
	rounds_left = rounds;
}

// restart begins the set at head anew.
static inline void restart(void) {
	drop();
	clear(&ring[head]);
	rounds_left = rounds;
	passing = 0;
	channel = 0;
	ADMUX = reference_bits;
	next_mux = reference_bits | 1;
	ADCSRA = control;
}

static inline uint8_t after(uint8_t c) { return c + 1 == LEADS ? 0 : c + 1; }

// Conversions are chained: the channel is chosen before each is started, so
// that there is no doubt which one a value belongs to. The start comes first and
// by hand, within a clock of the converter whatever interrupt was in front, so
// that conversions keep an even pace.
ISR(ADC_vect, ISR_NAKED) {
	__asm__ volatile("sbic %[flags], %[busy]\n\t"
			 "rjmp 1f\n\t"
			 "sbi %[flags], %[busy]\n\t"
			 "push r24\n\t"
			 "lds r24, %[mux]\n\t"
			 "sts %[ADMUX_], r24\n\t"
			 "lds r24, %[control]\n\t"
			 "sts %[ADCSRA_], r24\n\t"
			 "lds r24, %[TCNT1_]\n\t"
			 "sts %[ticks], r24\n\t"
			 "lds r24, %[TCNT1_] + 1\n\t"
			 "sts %[ticks] + 1, r24\n\t"
			 "lds r24, %[hall]\n\t"
			 "sts %[levels], r24\n\t"
			 "lds r24, %[ADC_]\n\t"
			 "sts %[value], r24\n\t"
			 "lds r24, %[ADC_] + 1\n\t"
			 "sts %[value] + 1, r24\n\t"
			 "pop r24\n\t"
			 "jmp __vector_converted\n"
			 "1:\n\t"
			 "sbi %[flags], %[spoiled]\n\t"
			 "reti" ::[mux] "i"(&next_mux),
			 [control] "i"(&control), [ticks] "i"(&end_ticks), [hall] "i"(&hall_levels),
			 [levels] "i"(&end_levels), [flags] "I"(_SFR_IO_ADDR(GPIOR0)), [busy] "n"(BUSY_BIT),
			 [spoiled] "n"(SPOILED_BIT), [value] "i"(&end_value), [ADC_] "n"(_SFR_MEM_ADDR(ADC)),
			 [ADMUX_] "n"(_SFR_MEM_ADDR(ADMUX)),
			 [ADCSRA_] "n"(_SFR_MEM_ADDR(ADCSRA)), [TCNT1_] "n"(_SFR_MEM_ADDR(TCNT1)));
}

static inline void add(uint16_t value) {
	if (passing) {
		passing = 0;
		next_mux = reference_bits | 1;
		return;
	}
	*place++ += value;
	channel = after(channel);
	next_mux = reference_bits | after(channel);
	if (channel == 0) {
		if (--rounds_left == 0)
			finish();
		else
			place -= LEADS;
	}
}

// __vector_converted is the rest of the interrupt. Others may come in between,
// and edges so dense that the conversion that was started, which takes 52 us at
// the least, ends before this is done. Nothing says then which lead comes next:
// the set is dropped and begun anew.
void __vector_converted(void) __attribute__((interrupt, used));
void __vector_converted(void) {
	add(end_value);
	cli(); // so that it is not entered again before it is left
	if (GPIOR0 & SPOILED)
		restart();
	GPIOR0 &= ~(BUSY | SPOILED);
}

static uint8_t clock_bits(uint8_t prescaler) {
	return prescaler == 128 ? _BV(ADPS2) | _BV(ADPS1) | _BV(ADPS0) : _BV(ADPS2) | _BV(ADPS1);
}

// convert makes one conversion of what ADMUX says.
static uint16_t convert(void) {
	ADCSRA = _BV(ADEN) | _BV(ADSC) | clock_bits(128);
	loop_until_bit_is_clear(ADCSRA, ADSC);
	return ADC;
}

void phases_start(enum reference reference, uint8_t prescaler, uint8_t sets) {
	reference_bits = reference == SUPPLY ? _BV(REFS0) : _BV(REFS1) | _BV(REFS0);
	DIDR0 = _BV(ADC0D) | _BV(ADC1D) | _BV(ADC2D);
	if ((ADMUX & (_BV(REFS1) | _BV(REFS0))) != reference_bits) {
		ADMUX = reference_bits;
		convert(); // this switches the reference
		_delay_ms(SETTLE_MS);
	}
	ADMUX = reference_bits;
	convert(); // the first one after a change may be off
	channel = passing = 0;
	next_mux = reference_bits | 1;
	rounds = rounds_left = sets;
	clear(&ring[head]);
	// Writing a one to ADIF clears it: the last conversion must not count.
	control = _BV(ADEN) | _BV(ADSC) | _BV(ADIF) | _BV(ADIE) | clock_bits(prescaler);
	ADCSRA = control;
}

void phases_stop(void) {
	ADCSRA = control & ~(_BV(ADSC) | _BV(ADIE));
	loop_until_bit_is_clear(ADCSRA, ADSC);
}

uint16_t phases_supply_mv(void) {
	uint16_t sum = 0;

	ADMUX = _BV(REFS0) | INTERNAL_CHANNEL;
	convert();
	_delay_ms(SUPPLY_SETTLE_MS);
	for (uint8_t i = 0; i < 16; i++)
		sum += convert();
	return sum ? (INTERNAL_MV * 1024 * 16 + sum / 2) / sum : 0;
}

uint8_t phases_take(struct set *s) {
	uint8_t at = tail;

	if (at == head)
		return 0;
	*s = ring[at];
	tail = (at + 1) & (SET_RING - 1);
	return 1;
}

uint16_t phases_dropped(void) {
	uint16_t n;

	ATOMIC_BLOCK(ATOMIC_RESTORESTATE) {
		n = dropped;
		dropped = 0;
	}
	return n;
}
