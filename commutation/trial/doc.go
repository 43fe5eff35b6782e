// Package trial plans powered trials of a known motor on a controller whose
// drive table is not known: which wiring to try next, so that the fewest trials
// lead to one that runs cleanly forward, and which table the answers point to.
// It is pure.
//
// The possible tables are the 24 classes of [commutation.Classes]. What the
// motor would do with each wiring under each of them follows from the motor as
// measured; an answer about a trial then weighs the tables by Bayes' rule. A
// 60-degree table with its middle sensor at HU or HW is not considered: none is
// known to have been published.
package trial
