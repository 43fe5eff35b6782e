// Package spin turns a recording of a hand spin into a description of the
// motor: how its phases follow one another, where its Hall sensors switch, and
// how sure that is.
package spin
