// Package vcd reads Hall levels from a value change dump, which logic analysers
// write: IEEE 1364-2005, clause 18. The dump is a stream of tokens between blanks;
// lines mean nothing in it. A token is understood by its place, since an
// identifier may look like anything else.
//
// A recording from a dump has the Hall levels alone, each row stamped when a level
// changed. Values x and z, and any other letter, are levels that are not known.
package vcd
