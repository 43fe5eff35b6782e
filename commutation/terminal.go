package commutation

import "fmt"

// Terminal is one of the controller's three phase terminals.
type Terminal uint8

// The terminals, named as in IEC 60034-8.
const (
	U Terminal = iota
	V
	W
)

// String returns the terminal's letter.
func (t Terminal) String() string {
	if t > W {
		return "?"
	}
	return "UVW"[t : t+1]
}

// ParseTerminal reads "U", "V" or "W".
func ParseTerminal(text string) (Terminal, error) {
	for t := U; t <= W; t++ {
		if text == t.String() {
			return t, nil
		}
	}
	return 0, fmt.Errorf("terminal %s is none of U, V, W", quote(text))
}

// Drive is one step of six-step drive: which terminal is connected to the
// supply's positive side and which to its negative; the third floats.
type Drive struct{ High, Low Terminal }
