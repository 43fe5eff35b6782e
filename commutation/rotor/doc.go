// Package rotor computes what flux a rotor's magnets should send through a phase,
// and the motor's constants from it. It does no input or output.
//
// Units are SI: metres, tesla, webers, radians per second. An angle within a pole
// is in electrical radians from the pole's middle, a pole being pi wide.
package rotor
