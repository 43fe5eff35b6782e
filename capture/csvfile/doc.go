// Package csvfile reads recordings from text with one row per line: the
// recording format, version 1, what the capture board sends, and tables whose
// columns the person names. It also writes the format.
//
// A board on a full line sends Hall edges before samples that are older; the
// rows of a recording are in the order of time again, at the same time edges
// first.
//
// Damaged rows are left out, counted and described in the recording; a text
// that cannot be understood is an error with its position and, where there is
// one, a hint. Every assumption made on the way is a note of the recording.
package csvfile
