// The lines that the board sends: the recording format, version 1.
#pragma once

#include <avr/pgmspace.h>
#include <stdint.h>

#include "hall.h"
#include "phases.h"

// The longest row: a time, levels, three sums of four digits, four commas, the
// line's sum and its end.
#define ROW_LENGTH (10 + 3 + 3 * 4 + 4 + 3 + 1)

void text_edge(const struct edge *e);
void text_set(const struct set *s);

// The functions below wait for room.

// text_P sends a string in flash; each line that it ends gets its sum.
void text_P(const char *text);

// text_names sends a string in flash as it is.
void text_names(const char *text);

// text_string sends a string; bytes that are not printable ASCII become '?'.
void text_string(const char *text);

void text_number(uint32_t n);

// text_micro sends n millionths as a decimal number.
void text_micro(uint32_t n);
