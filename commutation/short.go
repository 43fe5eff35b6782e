package commutation

import (
	"fmt"
	"strings"
)

// Short returns the leads at U V W and HU HV HW, as in "p1p3p2/h2h1h3". It does
// not tell which leads are inverted.
func (w Wiring) Short() string {
	var b strings.Builder
	for _, lead := range w.Phase {
		fmt.Fprintf(&b, "p%d", lead+1)
	}
	b.WriteByte('/')
	for _, lead := range w.Hall {
		fmt.Fprintf(&b, "h%d", lead+1)
	}
	return b.String()
}

// ParseWiring reads the form that [Wiring.Short] returns.
func ParseWiring(text string) (Wiring, error) {
	for _, w := range Wirings() {
		if w.Short() == text {
			return w, nil
		}
	}
	return Wiring{}, fmt.Errorf("wiring %s is not the leads at U V W / HU HV HW, each once, as in p1p3p2/h2h1h3", quote(text))
}
