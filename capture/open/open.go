// Package open opens a recording, whatever it is stored as: it takes a path or
// standard input, unpacks gzip and picks the reader by what the content is.
package open

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime/debug"

	"handspin/capture"
	"handspin/capture/csvfile"
	"handspin/capture/vcd"
)

// Stdin is the path that stands for standard input, and stdinName what messages
// call it.
const (
	Stdin     = "-"
	stdinName = "standard input"
)

// maxText is the longest text that is read, unpacked, in bytes. It is some hours
// of recording, and bounds the memory that a small packed file can ask for.
const maxText = 1 << 30

// Path reads the recording in the file at path, or from stdin where path is "-".
// A file that cannot be had or understood is a [*capture.SyntaxError] or, where
// an option does not fit it, a [*csvfile.OptionError].
func Path(path string, stdin io.Reader, opt csvfile.Options) (*capture.Recording, error) {
	text, err := Get(path, stdin)
	if err != nil {
		return nil, err
	}
	return text.Parse(opt)
}

// Text is what is in a file, unpacked.
type Text struct {
	// Name is what messages call the file by.
	Name  string
	Bytes []byte
	// mapped is whether Bytes are those of the file itself.
	mapped bool
}

// Called returns what messages call the file at path.
func Called(path string) string {
	if path == Stdin {
		return stdinName
	}
	return path
}

// Get returns the text of the file at path, or of stdin where path is "-".
func Get(path string, stdin io.Reader) (*Text, error) {
	if path == Stdin {
		return fromStdin(stdin)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, explain(path, err)
	}
	defer f.Close()
	return fromFile(path, f)
}

// fromStdin takes what a shell has put there for a file where that is at its
// beginning.
func fromStdin(stdin io.Reader) (*Text, error) {
	if f, ok := stdin.(*os.File); ok {
		if at, err := f.Seek(0, io.SeekCurrent); err == nil && at == 0 {
			return fromFile(stdinName, f)
		}
	}
	return unpacked(stdinName, stdin, maxText)
}

func fromFile(name string, f *os.File) (*Text, error) {
	info, err := f.Stat()
	if err == nil && info.IsDir() {
		return nil, fail(name, "name a file in it", "this is a directory")
	}
	if err == nil && info.Mode().IsRegular() && info.Size() >= int64(mapFrom) && info.Size() <= maxText {
		if text, ok := mapText(f, int(info.Size())); ok && !bytes.HasPrefix(text, gzipMagic) {
			return &Text{name, text, true}, nil
		}
	}
	return unpacked(name, f, maxText)
}

// mapFrom is the size in bytes from which on a text is not kept in memory, in which
// the recording will need its place. Only tests change it.
var mapFrom = 64 << 20

// Parse reads a recording from its text. A text that was parsed is not to be used
// any more.
func (t *Text) Parse(opt csvfile.Options) (*capture.Recording, error) {
	if t.mapped {
		return t.parseMapped(opt)
	}
	return t.parse(opt)
}

func (t *Text) parse(opt csvfile.Options) (*capture.Recording, error) {
	if vcd.Is(t.Bytes) {
		return vcd.Parse(t.Bytes, t.Name, opt)
	}
	return csvfile.Parse(t.Bytes, t.Name, opt)
}

// parseMapped gives back the memory of what has been read. A file that is cut off
// meanwhile shows as a fault of memory.
func (t *Text) parseMapped(opt csvfile.Options) (rec *capture.Recording, err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		switch fault := recover().(type) {
		case nil:
		case interface{ Addr() uintptr }:
			rec, err = nil, fail(t.Name, "try again when nothing writes to it any more", "the file was cut off while it was read")
		default:
			panic(fault)
		}
	}()
	told := opt.Passed
	opt.Passed = func(n int) {
		pass(t.Bytes[:n])
		if told != nil {
			told(n)
		}
	}
	return t.parse(opt)
}

// read reads what comes from r, at most limit bytes of text.
func read(name string, r io.Reader, limit int, opt csvfile.Options) (*capture.Recording, error) {
	text, err := unpacked(name, r, limit)
	if err != nil {
		return nil, err
	}
	return text.Parse(opt)
}

// unpacked returns what comes from r, at most limit bytes of text.
func unpacked(name string, r io.Reader, limit int) (*Text, error) {
	from := &remembering{Reader: r}
	r, err := unpackers(from)
	if from.err != nil {
		err = from.err
	}
	if err != nil {
		return nil, explain(name, err)
	}
	text, mapped, err := gather(r, limit)
	if err != nil {
		return nil, explain(name, err)
	}
	return &Text{name, text, mapped}, nil
}

var errTooLong = errors.New("longer than the limit")

// gather returns what r gives, at most limit bytes. A long text goes to the disk,
// from where it is mapped.
func gather(r io.Reader, limit int) (text []byte, mapped bool, err error) {
	text, err = all(r, min(limit, mapFrom))
	if err != errTooLong || limit <= mapFrom {
		return text, false, err
	}
	s := newSpool()
	defer s.close()
	s.Write(text) // which never fails
	n, err := io.Copy(s, io.LimitReader(r, int64(limit-len(text))+1))
	if err == nil && int(n) > limit-len(text) {
		err = errTooLong
	}
	if err != nil {
		return nil, false, err
	}
	return s.text()
}

// all reads r to its end, or one byte beyond limit.
func all(r io.Reader, limit int) ([]byte, error) {
	var text bytes.Buffer
	n, err := text.ReadFrom(io.LimitReader(r, int64(limit)+1))
	if err == nil && n > int64(limit) {
		err = errTooLong
	}
	return text.Bytes(), err
}

// explain says what an error means to the person.
func explain(name string, err error) error {
	_, packed := errors.AsType[packedError](err)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fail(name, "check the spelling and the folder", "there is no such file")
	case errors.Is(err, fs.ErrPermission):
		return fail(name, "look at its permissions, or copy it", "there is no permission to read the file")
	case errors.Is(err, errTooLong):
		return fail(name, "cut it to the seconds in which the rotor turns", "the text is longer than 1 GiB")
	case errors.Is(err, errLayers):
		return fail(name, "unpack it with gzip -d until it is text", "the file is packed with gzip more than %d times over", layers)
	case packed:
		return fail(name, "copy the file again; gzip -dc FILE > part.csv keeps what can be unpacked", "the gzip data is cut off or damaged")
	}
	if e, ok := errors.AsType[*fs.PathError](err); ok {
		err = e.Err // the path is in the position
	}
	return fail(name, "", "cannot be read: %v", err)
}

func fail(name, hint, format string, args ...any) error {
	return &capture.SyntaxError{Pos: capture.Position{File: name}, Msg: fmt.Sprintf(format, args...), Hint: hint}
}
