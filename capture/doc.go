// Package capture holds recordings of a motor turned by hand: the levels of
// its three Hall sensors and the back-EMF of its phases against time. The
// package does no input or output; the readers below it fill a [Recording].
//
// Leads are numbered as the person at the bench wired them: phase leads p1,
// p2, p3 and Hall leads h1, h2, h3. Slices and arrays indexed by lead run from
// 0, so p1 and h1 are at index 0.
package capture
