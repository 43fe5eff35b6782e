package open

import (
	"bytes"
	"testing"

	"handspin/capture/csvfile"
)

// RFC 1952, section 2.2: a file is a series of members. Zeros behind the last one
// are padding, which gzip(1) passes over too; anything else there is damage.
func TestGzipMembersAndPadding(t *testing.T) {
	first, second := pack(t, text[:20]), pack(t, text[20:])
	whole, zeros := pack(t, text), make([]byte, 1000)
	for name, c := range map[string]struct {
		packed []byte
		ok     bool
	}{
		"one member":            {whole, true},
		"padding":               {bytes.Join([][]byte{whole, zeros}, nil), true},
		"two members":           {bytes.Join([][]byte{first, second}, nil), true},
		"two and padding":       {bytes.Join([][]byte{first, second, zeros[:1]}, nil), true},
		"rubbish behind":        {bytes.Join([][]byte{whole, []byte("rubbish")}, nil), false},
		"zeros, rubbish behind": {bytes.Join([][]byte{whole, zeros, []byte("rubbish")}, nil), false},
		"a second cut off":      {bytes.Join([][]byte{first, second[:len(second)-3]}, nil), false},
	} {
		rec, err := read("f", bytes.NewReader(c.packed), 1<<16, csvfile.Options{})
		if !c.ok {
			check(t, name, err, "f: the gzip data is cut off or damaged", "copy the file again; gzip -dc FILE > part.csv keeps what can be unpacked")
		} else if err != nil || rec.Rows() != 2 || rec.Columns[0].Value[1] != 2 {
			t.Errorf("%s: %v, %v", name, rec, err)
		}
	}
}

// The limit is that of all members together.
func TestLimitOfMembers(t *testing.T) {
	two := append(pack(t, text[:20]), pack(t, text[20:])...)
	_, err := read("f", bytes.NewReader(two), len(text)-1, csvfile.Options{})
	check(t, "two members", err, "f: the text is longer than 1 GiB", "cut it to the seconds in which the rotor turns")
}
