// What the board is doing: its mode, its reference, whether it records.
#pragma once

#include <stdint.h>

void session_init(void);

// session_step does the next thing there is to do; it returns 0 where there is
// none.
uint8_t session_step(void);
