// Everything that may be changed about the board: pins, modes, divider, sizes.
#pragma once

#ifndef F_CPU
#define F_CPU 16000000UL // Hz; the Uno and Nano boards
#endif

#define FIRMWARE_VERSION "1.0"

// Hall leads h1 h2 h3 are the low three bits of port B: pins 8, 9, 10.
#define HALL_MASK 0x07

// Phase leads p1 p2 p3 are converter channels 0, 1, 2: pins A0, A1, A2.
#define LEADS 3

// By how much the dividers at the phase inputs divide; only volts_per_count
// depends on it. A whole number.
#ifndef DIVIDER
#define DIVIDER 11
#endif

// The modes. A row is the sum of MODE_SETS conversions of each lead, with the
// converter's clock at F_CPU / MODE_PRESCALER.
#define FAST_BAUD 1000000UL
#define FAST_PRESCALER 64
#define FAST_SETS 2

#define SAFE_BAUD 500000UL
#define SAFE_PRESCALER 128
#define SAFE_SETS 3

// A conversion takes 13 clocks of the converter; the next one starts at the
// first clock after the interrupt has asked for it.
#define CONVERSION_CLOCKS 14

// From the end of a conversion to the reading of the clock in its interrupt,
// and from a Hall edge to the reading of the clock in its own, on average, in
// microseconds. Both were measured in the emulator.
#define SAMPLE_STAMP_US 1
#define HALL_STAMP_US 2

// Ring sizes, powers of two. The edges of 16 ms at 4,000 a second fit.
#define EDGE_RING 64
#define SET_RING 16

// Reports go out every so many overflows of the clock, 32.768 ms each.
#define REPORT_OVERFLOWS 30

// From this time on stamps have so many digits that the fast mode's rows with 450
// edges a second would fill the line: a conversion is passed over after each set.
#define LONG_STAMP_US 100000000UL

// The longest command of the host, in bytes.
#define COMMAND_LENGTH 24
