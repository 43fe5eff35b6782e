package open

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"errors"
	"io"
)

var gzipMagic = []byte{0x1f, 0x8b} // RFC 1952, section 2.3.1

// packedError is an error of the packed form.
type packedError struct{ error }

// remembering is a reader that remembers what it failed with.
type remembering struct {
	io.Reader
	err error
}

func (r *remembering) Read(p []byte) (n int, err error) {
	if n, err = r.Reader.Read(p); err != nil && err != io.EOF {
		r.err = err
	}
	return n, err
}

// unpacker unpacks gzip of one or more members; zeros may follow them.
type unpacker struct {
	from *remembering
	in   *bufio.Reader // from from
	z    *gzip.Reader
}

// Read gives the text. What is wrong with the packed form is a packedError.
func (u *unpacker) Read(p []byte) (n int, err error) {
	if u.z == nil {
		err = u.begin()
	}
	for n == 0 && err == nil {
		if n, err = u.z.Read(p); err == io.EOF {
			err = u.next()
		}
	}
	if err != nil && err != io.EOF && u.from.err == nil {
		err = packedError{err}
	}
	return n, err
}

// layers is how often a text may be packed over: once, and once more by somebody who
// did not notice. Without a limit a file that unpacks to itself has no end.
const layers = 2

var errLayers = errors.New("packed too often")

// unpackers returns a reader of the text that comes from a reader, however often
// packed.
func unpackers(from *remembering) (io.Reader, error) {
	in := bufio.NewReaderSize(from, 1<<16)
	for range layers + 1 {
		if magic, _ := in.Peek(len(gzipMagic)); !bytes.Equal(magic, gzipMagic) {
			return in, nil
		}
		in = bufio.NewReaderSize(&unpacker{from: from, in: in}, 1<<16)
	}
	return nil, errLayers
}

// begin begins with the first member.
func (u *unpacker) begin() (err error) {
	if u.z, err = gzip.NewReader(u.in); err != nil {
		return cutOff(err)
	}
	u.z.Multistream(false)
	return nil
}

// next begins with the next member; it returns io.EOF where there is none.
func (u *unpacker) next() error {
	// Tapes and some disks fill up a file with zeros, as gzip expects.
	for {
		b, err := u.in.ReadByte()
		switch {
		case err != nil:
			return err
		case b != 0:
			u.in.UnreadByte() // just read
			err = u.z.Reset(u.in)
			u.z.Multistream(false)
			return cutOff(err)
		}
	}
}

// cutOff returns err, an end within a member's header as one that is not expected.
func cutOff(err error) error {
	if err == io.EOF {
		return io.ErrUnexpectedEOF
	}
	return err
}
