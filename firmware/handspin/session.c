#include "session.h"

#include <string.h>

#include "clock.h"
#include "hall.h"
#include "phases.h"
#include "text.h"
#include "uart.h"

// Three lines of at most 26 bytes.
#define REPORT_LENGTH 78

// When a row was sampled, in microseconds before its stamp: from a conversion's
// sampling, 1.5 clocks after its start, to its end, 13 clocks after; the other
// leads' conversions after it; half of the time from the first set to the last.
#define CLOCK_US(prescaler) ((prescaler) / (F_CPU / 1000000UL))
#define LAG_US(prescaler, sets, lead)                                                            \
	(SAMPLE_STAMP_US + CLOCK_US(prescaler) * (23 + 2 * CONVERSION_CLOCKS * (LEADS - 1 - (lead)) + \
						  CONVERSION_CLOCKS * LEADS * ((sets)-1)) / 2)

struct mode {
	char name[5];
	uint32_t baud;
	uint8_t prescaler, sets;
	uint16_t lag_us[LEADS];
};

#define MODE(name, m)                                                                \
	{                                                                            \
		name, m##_BAUD, m##_PRESCALER, m##_SETS, {                           \
			LAG_US(m##_PRESCALER, m##_SETS, 0),                          \
			LAG_US(m##_PRESCALER, m##_SETS, 1),                          \
			LAG_US(m##_PRESCALER, m##_SETS, 2)                           \
		}                                                                    \
	}

static const struct mode fast = MODE("fast", FAST), safe = MODE("safe", SAFE);

static const struct mode *mode = &fast;
static enum reference reference = SUPPLY;
static uint8_t recording;
static uint32_t sets_sent, edges_sent;

static void key(const char *name) {
	text_P(PSTR("# "));
	text_P(name);
	text_P(PSTR(": "));
}

_Static_assert(DIVIDER >= 1 && DIVIDER <= 1000 && DIVIDER == (uint16_t)(DIVIDER),
	       "DIVIDER must be a whole number from 1 to 1000");

static void end_line(void) { text_P(PSTR("\n")); }

static void key_number(const char *name, uint32_t n) {
	key(name);
	text_number(n);
	end_line();
}

static void header(void) {
	uint16_t supply_mv = phases_supply_mv();
	uint32_t full_uv = (reference == SUPPLY ? supply_mv : 1100) * 1000UL;

	text_P(PSTR("# handspin-capture: 1\n# board: atmega328p " FIRMWARE_VERSION "\n# mode: "));
	text_string(mode->name);
	text_P(reference == SUPPLY ? PSTR("\n# reference: supply\n") : PSTR("\n# reference: internal\n"));
	key_number(PSTR("baud"), mode->baud);
	key_number(PSTR("supply_mv"), supply_mv);
	key_number(PSTR("divider"), DIVIDER);
	key_number(PSTR("full_scale"), 1023U * mode->sets);
	key(PSTR("volts_per_count"));
	text_micro(full_uv / 16 * DIVIDER / (64 * mode->sets));
	text_P(PSTR("\n# skew_us: "));
	for (uint8_t i = 0; i < LEADS; i++) {
		text_P(i ? PSTR(",-") : PSTR("-"));
		text_number(mode->lag_us[i]);
	}
	end_line();
	key_number(PSTR("hall_lag_us"), HALL_STAMP_US);
	text_names(PSTR("t_us,hall,p1,p2,p3\n"));
}

static void report(void) {
	key_number(PSTR("sets"), sets_sent);
	key_number(PSTR("edges"), edges_sent);
	key(PSTR("dropped"));
	text_number(phases_dropped());
	text_P(PSTR(","));
	text_number(hall_dropped());
	end_line();
}

// row sends the oldest edge or, where there is none, the oldest set; it returns
// 0 where there is neither. There must be room for it.
static uint8_t row(void) {
	struct edge e;
	struct set s;

	if (hall_take(&e)) {
		text_edge(&e);
		edges_sent++;
		return 1;
	}
	if (phases_take(&s)) {
		text_set(&s);
		sets_sent++;
		return 1;
	}
	return 0;
}

static void drain(void) {
	do
		uart_wait(ROW_LENGTH);
	while (row());
}

// pause stops the converter and sends what has been recorded, so that what comes
// then holds for later rows only. Edges go on being stamped.
static void pause(void) {
	if (recording)
		phases_stop();
	drain();
}

// resume sends the header and goes on.
static void resume(void) {
	header();
	if (recording)
		phases_start(reference, mode->prescaler, mode->sets);
}

static void start(void) {
	if (!recording)
		hall_start();
	recording = 1;
	resume();
}

static void stop(void) {
	if (!recording)
		return;
	hall_stop();
	recording = 0;
	drain();
	report();
}

static void set_mode(const struct mode *to) {
	mode = to;
	uart_init(mode->baud);
	resume();
}

static void set_fast(void) { set_mode(&fast); }

static void set_safe(void) { set_mode(&safe); }

static void set_supply(void) {
	reference = SUPPLY;
	resume();
}

static void set_internal(void) {
	reference = INTERNAL;
	resume();
}

// The host's commands, and what they do after they have been answered.
static const struct {
	char text[20];
	void (*run)(void);
} commands[] = {
	{"header", resume},
	{"start", start},
	{"stop", stop},
	{"mode fast", set_fast},
	{"mode safe", set_safe},
	{"reference supply", set_supply},
	{"reference internal", set_internal},
};

static void answer(const char *how, const char *text) {
	key(how);
	text_string(text);
	end_line();
}

static void obey(const char *text, uint8_t too_long) {
	for (uint8_t i = 0; i < sizeof commands / sizeof *commands; i++) {
		if (too_long || strcmp(text, commands[i].text))
			continue;
		pause();
		answer(PSTR("ok"), text);
		commands[i].run();
		return;
	}
	answer(PSTR("refused"), text);
}

// A report comes before any row: counts of what was lost must not be lost.
uint8_t session_step(void) {
	uint8_t too_long;
	const char *text = uart_command(&too_long);

	if (text) {
		obey(text, too_long);
		uart_next();
		return 1;
	}
	if (clock_report_due && recording) {
		if (uart_room() < REPORT_LENGTH)
			return 0;
		clock_report_due = 0;
		report();
		return 1;
	}
	if (uart_room() < ROW_LENGTH)
		return 0;
	GPIOR0 |= 1; // tells an emulator that the work begins, and ends
	uint8_t sent = row();
	GPIOR0 &= ~1;
	return sent;
}

void session_init(void) {
	clock_init();
	uart_init(mode->baud);
	start();
}
