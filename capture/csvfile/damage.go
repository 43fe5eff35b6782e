package csvfile

import (
	"fmt"

	"handspin/capture"
)

const wrongSum = "the line's sum is wrong"

// damage is what is wrong with a row, at an offset of the text.
type damage struct {
	at  int
	msg string
}

// damaged counts a damaged row and describes the first ones.
func (r *reader) damaged(at int, format string, args ...any) {
	r.rec.BadRows++
	if len(r.damage) < capture.MaxDamage {
		r.damage = append(r.damage, damage{at, fmt.Sprintf(format, args...)})
	}
}

func (r *reader) note(format string, args ...any) {
	r.rec.Notes = append(r.rec.Notes, fmt.Sprintf(format, args...))
}
