// Package winding knows three-phase windings with one coil on each tooth: which
// coil belongs to which phase and in which sense, how much of the flux each
// phase links, where the Hall sensors go, what a single mistake does to the
// back-EMF, and what the wire's resistance is. It does no input or output.
//
// Teeth, phases and slot openings count from 0 in code and from 1, A and 1|2 in
// names: opening 0 lies between teeth 0 and 1. Angles are electrical degrees
// unless they are said to be mechanical; both grow with the teeth's numbers. A
// phasor's angle is by how much a coil's back-EMF lags that of tooth 0 while the
// rotor turns towards higher numbers, so phases A, B, C are at 0, 120, 240 then.
//
// The star of slots is a textbook method; its rules are restated where they are
// computed.
package winding
