// Package firmware holds the built program of the capture board. Its sources are
// in the folder handspin, which is also a sketch; README.md says how to build the
// board and load the program.
package firmware

import _ "embed"

// Image is the program in Intel HEX format, for an ATmega328P at 16 MHz.
//
//go:embed capture.hex
var Image []byte
