package capture

import (
	"testing"

	"pgregory.net/rapid"
)

func TestLevelsString(t *testing.T) {
	for l, want := range map[Levels]string{0: "000", 4: "100", 2: "010", 1: "001", 7: "111", UnknownLevels: "xxx", 0x20 | 4: "1x0"} {
		if l.String() != want {
			t.Errorf("%#x prints %s, want %s", uint8(l), l, want)
		}
	}
}

// With sets one lead, known and at its level, and leaves the others alone.
func TestLevelsWith(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := UnknownLevels
		for i := range 3 {
			if rapid.Bool().Draw(t, "known") {
				l = l.With(i, rapid.Bool().Draw(t, "level"))
			}
		}
		lead, high := rapid.IntRange(0, 2).Draw(t, "lead"), rapid.Bool().Draw(t, "high")
		got := l.With(lead, high)
		for i := range 3 {
			level, known := got.Level(i)
			wantLevel, wantKnown := l.Level(i)
			if i == lead {
				wantLevel, wantKnown = high, true
			}
			if level != wantLevel || known != wantKnown {
				t.Fatalf("%s with lead %d %v is %s", l, lead, high, got)
			}
		}
		if got.With(lead, high) != got {
			t.Fatalf("a second With changes %s", got)
		}
	})
}

func TestLevelsKnown(t *testing.T) {
	l := UnknownLevels
	for i := range 3 {
		if l.Known() {
			t.Errorf("%s counts as known", l)
		}
		l = l.With(i, true)
	}
	if !l.Known() {
		t.Errorf("%s counts as unknown", l)
	}
}
