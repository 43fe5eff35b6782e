//go:build unix

package open

import (
	"os"

	"golang.org/x/sys/unix"
)

// mapText returns the file's content without reading it: the system fetches what
// is looked at, and takes the memory back when it needs it. The text stays for
// as long as the process runs.
func mapText(f *os.File, size int) ([]byte, bool) {
	text, err := unix.Mmap(int(f.Fd()), 0, size, unix.PROT_READ, unix.MAP_PRIVATE)
	return text, err == nil
}

// pass lets the system take back the memory of text that has been read; it fetches
// it again where that is looked at once more.
func pass(text []byte) {
	page := os.Getpagesize()
	if n := len(text) / page * page; n > 0 {
		unix.Madvise(text[:n], unix.MADV_DONTNEED) // advice
	}
}

// nameless returns a temporary file that goes away by itself.
func nameless() (*os.File, error) {
	f, err := os.CreateTemp("", "handspin-*")
	if err != nil {
		return nil, err
	}
	return f, os.Remove(f.Name())
}
