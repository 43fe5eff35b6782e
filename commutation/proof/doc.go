// Package proof measures how often the answer is right, on random motors whose
// properties are known.
//
// A seed draws a [Case]: a motor, a spin, a front end, faults and a drive table.
// [Case.Run] goes the whole way from its recording to the verdict and holds the
// [Outcome] against the truth; [Figures] are what many outcomes say, with their
// intervals.
package proof
