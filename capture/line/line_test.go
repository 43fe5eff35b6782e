package line

import (
	"bytes"
	"testing"

	"pgregory.net/rapid"
)

// A fix sentence that texts on NMEA 0183 print as their example; from memory.
// The sum there runs over what stands between $ and *.
const fix = "GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,"

func TestSumOfPublishedSentence(t *testing.T) {
	if got := Sum([]byte(fix)); got != 0x47 {
		t.Errorf("sum %02X, want 47", got)
	}
	if got := string(Append(nil, []byte(fix))); got != fix+"*47" {
		t.Errorf("Append gave %q", got)
	}
}

func TestStrip(t *testing.T) {
	// By hand: '1' xor '2' is 03, 'Z' alone is 5A, no byte at all is 00.
	for _, c := range []struct {
		line, data string
		status     Status
	}{
		{"12*03", "12", Good},
		{"12*04", "12", Wrong},
		{"Z*5A", "Z", Good},
		{"Z*5a", "Z", Good},
		{"*00", "", Good},
		{"12", "12", Absent},
		{"12*0", "12*0", Absent},
		{"12*0G", "12*0G", Absent},
		{"12*G0", "12*G0", Absent},
		{"12*03,", "12*03,", Absent},
		{"", "", Absent},
	} {
		data, status := Strip([]byte(c.line))
		if string(data) != c.data || status != c.status {
			t.Errorf("Strip(%q) = %q, %d; want %q, %d", c.line, data, status, c.data, c.status)
		}
	}
}

func TestAppendThenStrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		before := rapid.SliceOf(rapid.Byte()).Draw(t, "before")
		data := rapid.SliceOf(rapid.Byte()).Draw(t, "data")
		out := Append(bytes.Clone(before), data)
		if !bytes.HasPrefix(out, before) {
			t.Fatalf("Append changed what was there")
		}
		got, status := Strip(out[len(before):])
		if status != Good || !bytes.Equal(got, data) {
			t.Fatalf("Strip gave %q, %d", got, status)
		}
	})
}

// One changed byte changes the XOR, so it never passes.
func TestChangedByteIsSeen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data := rapid.SliceOfN(rapid.Byte(), 1, 60).Draw(t, "data")
		out := Append(nil, data)
		at := rapid.IntRange(0, len(data)-1).Draw(t, "at")
		out[at] ^= rapid.ByteRange(1, 255).Draw(t, "change")
		if _, status := Strip(out); status != Wrong {
			t.Fatalf("status %d", status)
		}
	})
}
