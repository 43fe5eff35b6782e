// Package csvfile reads recordings from text with one row per line: the
// recording format, version 1, what the capture board sends, and tables whose
// columns the person names. It also writes the format.
//
// Damaged rows are left out, counted and described in the recording; a text
// that cannot be understood is an error with its position and, where there is
// one, a hint. Every assumption made on the way is a note of the recording.
package csvfile
