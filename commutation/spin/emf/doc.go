// Package emf finds a rotor's electrical angle and the waves of its back-EMF from the
// phase columns of a recording, without the sensors: what the columns are (leads,
// differences, clipped, half waves), a first estimate by a tracking filter, and a fit of
// angle and waves together.
package emf
