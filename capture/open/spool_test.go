package open

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"
)

// Whatever of a text the disk takes, all of it or up to some write, it is there in
// the end.
func TestSpool(t *testing.T) {
	path := filepath.Join(t.TempDir(), "spool")
	rapid.Check(t, func(t *rapid.T) {
		file, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		s := &spool{file: file}
		if rapid.Bool().Draw(t, "no file") {
			s.file = nil
		}
		full := rapid.IntRange(0, 6).Draw(t, "full after")
		var want []byte
		for i := range rapid.IntRange(1, 5).Draw(t, "writes") {
			if i == full && s.file != nil {
				s.file, err = os.Open(path) // which cannot be written
				if err != nil {
					t.Fatal(err)
				}
				file.Close()
			}
			p := rapid.SliceOfN(rapid.Byte(), 1, 50).Draw(t, "text")
			want = append(want, p...)
			if n, err := s.Write(p); n != len(p) || err != nil {
				t.Fatal(n, err)
			}
		}
		text, _, err := s.text()
		if err != nil || !bytes.Equal(text, want) {
			t.Fatalf("%q, %v, want %q", text, err, want)
		}
		s.close()
	})
}
