// Package board talks to a capture board on a serial port: it finds and opens the
// board, takes its lines apart, keeps count of what was lost and writes a
// recording that survives whatever happens.
package board
