#include "text.h"

#include "uart.h"

// Rows are most of what the processor does. Inlined, a line's place and sum stay
// in registers.
#define INLINE static inline __attribute__((always_inline))

static const uint32_t powers[] = {1000000000, 100000000, 10000000, 1000000, 100000, 10000};

// line is a row being put into the ring: the next place, and the sum so far.
struct line {
	uint8_t at, sum;
};

INLINE void put(struct line *l, uint8_t byte) {
	l->sum ^= byte;
	l->at = uart_append(l->at, byte);
}

// Division of 32 bits takes some 600 cycles a digit here, so digits are found
// by subtraction. Each step below sends one digit of *n and leaves the rest.
#define DIGIT(n, power)                     \
	do {                                \
		uint8_t digit = '0';        \
		while ((n) >= (power)) {    \
			(n) -= (power);     \
			digit++;            \
		}                           \
		if (digit != '0' || begun) { \
			put(l, digit);      \
			begun = 1;          \
		}                           \
	} while (0)

// short_number sends n, less than 10,000.
INLINE void short_number(struct line *l, uint16_t n, uint8_t begun) {
	DIGIT(n, 1000);
	DIGIT(n, 100);
	DIGIT(n, 10);
	put(l, '0' + n);
}

INLINE void number(struct line *l, uint32_t n) {
	uint8_t begun = 0;

	for (uint8_t i = 0; i < sizeof powers / sizeof *powers; i++)
		DIGIT(n, powers[i]);
	short_number(l, n, begun);
}

INLINE void levels(struct line *l, uint8_t bits) {
	put(l, bits & 1 ? '1' : '0');
	put(l, bits & 2 ? '1' : '0');
	put(l, bits & 4 ? '1' : '0');
}

static uint8_t hex(uint8_t n) { return n < 10 ? '0' + n : 'A' - 10 + n; }

INLINE void end(struct line *l) {
	uint8_t sum = l->sum;

	put(l, '*');
	put(l, hex(sum >> 4));
	put(l, hex(sum & 15));
	put(l, '\n');
	uart_commit(l->at);
}

INLINE struct line begin(uint32_t t_us, uint8_t bits) {
	struct line l = {uart_begin(), 0};

	number(&l, t_us);
	put(&l, ',');
	levels(&l, bits);
	put(&l, ',');
	return l;
}

void text_edge(const struct edge *e) {
	struct line l = begin(e->t_us, e->levels);

	put(&l, ',');
	put(&l, ',');
	end(&l);
}

void text_set(const struct set *s) {
	struct line l = begin(s->t_us, s->levels);

	short_number(&l, s->sum[0], 0);
	put(&l, ',');
	short_number(&l, s->sum[1], 0);
	put(&l, ',');
	short_number(&l, s->sum[2], 0);
	end(&l);
}

// The sum of the header line so far.
static uint8_t header_sum;

static void byte(uint8_t b) {
	uart_wait(1);
	header_sum ^= b;
	uart_commit(uart_append(uart_begin(), b));
}

static void end_header(void) {
	uart_wait(4);
	struct line l = {uart_begin(), header_sum};
	header_sum = 0;
	end(&l);
}

void text_P(const char *text) {
	for (uint8_t b; (b = pgm_read_byte(text)); text++) {
		if (b == '\n')
			end_header();
		else
			byte(b);
	}
}

void text_names(const char *text) {
	for (uint8_t b; (b = pgm_read_byte(text)); text++)
		byte(b);
	header_sum = 0;
}

void text_string(const char *text) {
	for (uint8_t b; (b = *text); text++)
		byte(b < ' ' || b > '~' ? '?' : b);
}

void text_number(uint32_t n) {
	uart_wait(10);
	struct line l = {uart_begin(), header_sum};
	number(&l, n);
	header_sum = l.sum;
	uart_commit(l.at);
}

void text_micro(uint32_t n) {
	text_number(n / 1000000);
	text_P(PSTR("."));
	n %= 1000000;
	for (uint32_t place = 100000; place; place /= 10)
		byte('0' + n / place % 10);
}
