package open

import (
	"io"
	"os"
)

// spool keeps a long text on the disk, or in memory where the disk has no room.
type spool struct {
	file *os.File // nil for none
	size int      // of what is in the file
	rest []byte   // what the file did not take
}

func newSpool() *spool {
	f, err := nameless()
	if err != nil {
		f = nil
	}
	return &spool{file: f}
}

// Write never fails.
func (s *spool) Write(p []byte) (int, error) {
	n := 0
	if s.file != nil && s.rest == nil {
		var err error
		if n, err = s.file.Write(p); err == nil {
			s.size += n
			return n, nil
		}
		s.size += n
	}
	s.rest = append(s.rest, p[n:]...)
	return len(p), nil
}

// text returns all that was written, and whether it is that on the disk.
func (s *spool) text() (text []byte, mapped bool, err error) {
	if s.size == 0 {
		return s.rest, false, nil
	}
	if s.rest == nil {
		if text, ok := mapText(s.file, s.size); ok {
			return text, true, nil
		}
	}
	text = make([]byte, s.size, s.size+len(s.rest))
	_, err = s.file.ReadAt(text, 0)
	if err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	return append(text, s.rest...), false, err
}

func (s *spool) close() {
	if s.file != nil {
		s.file.Close() // its text stays mapped
	}
}
