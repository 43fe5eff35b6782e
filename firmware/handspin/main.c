// The capture board: three Hall lines stamped by interrupt, three phase leads
// sampled in turn, both sent as a recording that any terminal can log.

#include <avr/interrupt.h>
#include <avr/sleep.h>

#include "session.h"

int main(void) {
	set_sleep_mode(SLEEP_MODE_IDLE);
	sleep_enable();
	sei();
	session_init();
	for (;;) {
		if (!session_step())
			sleep_cpu(); // whatever makes work wakes it, and the clock in any case
	}
}
