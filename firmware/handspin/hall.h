// The Hall lines: each change is stamped when it happens and kept in a ring.
#pragma once

#include <stdint.h>

#include "config.h"

struct edge {
	uint32_t t_us;
	uint8_t levels; // bit 0 is h1, bit 2 is h3
};

// The levels after the last edge.
extern volatile uint8_t hall_levels;

// hall_start begins to stamp, with the present levels as a first edge.
void hall_start(void);

void hall_stop(void);

// hall_take moves the oldest edge to *e; it returns 0 where there is none.
uint8_t hall_take(struct edge *e);

// hall_dropped returns how many edges found the ring full since it was last
// called.
uint16_t hall_dropped(void);
