// Package synth makes recordings of motors whose properties are known.
//
// A rotor with inertia, friction, cogging and the pushes of a hand is
// integrated in small steps of time ([Spin]); the windings and Hall sensors of
// a [Motor] follow its angle; a [FrontEnd] samples them as a capture board
// would. The result is a [capture.Recording] and the [Truth] about it. The
// same [Config] gives the same recording on every run.
//
// The machine angle is the rotor's electrical angle in the machine's own
// sense: magnetic phase 0 has its back-EMF's rising zero crossing at 0 when the
// angle grows, phases 1 and 2 follow 120 and 240 degrees later. A rotor may be
// turned either way; [Truth] speaks of forward, the way most turning was done.
package synth
