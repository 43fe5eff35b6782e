// The phase leads: sums of conversions, stamped and kept in a ring.
#pragma once

#include <stdint.h>

#include "config.h"

struct set {
	uint32_t t_us; // when the last conversion had ended
	uint8_t levels; // of the Hall lines at that time
	uint16_t sum[LEADS];
};

// What the converter measures against.
enum reference { SUPPLY, INTERNAL };

// phases_start begins to convert: sums of `sets` conversions of each lead, with
// the converter's clock at F_CPU / prescaler.
void phases_start(enum reference reference, uint8_t prescaler, uint8_t sets);

// phases_stop ends it; a set that is not complete is left out.
void phases_stop(void);

// phases_supply_mv measures the supply against the internal reference, in
// millivolts. The converter must be stopped.
uint16_t phases_supply_mv(void);

// phases_take moves the oldest set to *s; it returns 0 where there is none.
uint8_t phases_take(struct set *s);

// phases_dropped returns how many sets found the ring full since it was last
// called.
uint16_t phases_dropped(void);
