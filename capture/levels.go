package capture

// Levels are the levels of the three Hall leads at one moment. Bits 2, 1 and 0
// are the levels of h1, h2 and h3, so that a binary print of the low three bits
// reads in the order of the leads; bits 6, 5 and 4 are set where the level of
// h1, h2 or h3 is not known. The level bit of an unknown lead is 0.
type Levels uint8

// UnknownLevels are the levels of a row that says nothing about the sensors.
const UnknownLevels Levels = 0x70

// Level returns the level of Hall lead i (0 to 2) and whether it is known.
func (l Levels) Level(i int) (high, known bool) {
	bit := Levels(4) >> i
	return l&bit != 0, l&(bit<<4) == 0
}

// With returns l with Hall lead i (0 to 2) known and at the given level.
func (l Levels) With(i int, high bool) Levels {
	bit := Levels(4) >> i
	l &^= bit | bit<<4
	if high {
		l |= bit
	}
	return l
}

// Known reports whether all three levels are known.
func (l Levels) Known() bool { return l&0x70 == 0 }

// String returns the levels as three digits in the order of the leads, x for
// a level that is not known.
func (l Levels) String() string {
	out := [3]byte{}
	for i := range out {
		high, known := l.Level(i)
		switch {
		case !known:
			out[i] = 'x'
		case high:
			out[i] = '1'
		default:
			out[i] = '0'
		}
	}
	return string(out[:])
}
