package board

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// Log is a recording that is being written. Lines are gathered, and a flush
// writes them whole, so that the file ends with a whole line at any time.
type Log struct {
	name    string
	file    logFile
	lines   []byte
	written int64
	failure error
}

// logFile is what a Log needs of a file.
type logFile interface {
	io.WriteCloser
	Truncate(size int64) error
	Sync() error
}

// Vacant returns an error where a file is there already.
func Vacant(name string) error {
	if _, err := os.Lstat(name); err != nil {
		return nil
	}
	return &Error{Port: name, Problem: Failed, Msg: "the file is there already", Hint: "take another name, or overwrite it with --force"}
}

// Writable returns an error where the folder of a file is not there.
func Writable(name string) error {
	dir := filepath.Dir(name)
	info, err := os.Stat(dir)
	if err == nil && info.IsDir() {
		return nil
	}
	return &Error{Port: name, Problem: Failed, Msg: "there is no folder " + dir, Hint: "make it, or take another name"}
}

// Create makes the file of a recording. One that is there is an error, unless
// force is set.
func Create(name string, force bool) (*Log, error) {
	how := os.O_CREATE | os.O_WRONLY | os.O_EXCL
	if force {
		how = os.O_CREATE | os.O_WRONLY | os.O_TRUNC
	}
	f, err := os.OpenFile(name, how, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return nil, Vacant(name)
	}
	if err != nil {
		return nil, fmt.Errorf("the recording cannot be written: %w", err)
	}
	return &Log{name: name, file: f}, nil
}

// Line adds a line, or several, without the last one's end. Bytes that are not printable
// ASCII become question marks: a torn line is kept, and the file stays text.
func (l *Log) Line(text []byte) {
	for _, c := range text {
		if (c < ' ' || c > '~') && c != '\t' && c != '\n' {
			c = '?'
		}
		l.lines = append(l.lines, c)
	}
	l.lines = append(l.lines, '\n')
}

// Flush writes the lines that have been added and has the system store them. When
// it fails the file is cut back to its last whole line, and all later calls return
// the same error.
func (l *Log) Flush() error {
	if l.failure != nil || len(l.lines) == 0 {
		return l.failure
	}
	n, err := l.file.Write(l.lines)
	if err != nil {
		l.fail(n, err)
		return l.failure
	}
	l.written += int64(n)
	l.lines = l.lines[:0]
	// Some files cannot be synchronised; what they hold is as safe as it can be.
	l.file.Sync()
	return nil
}

// fail cuts off what was written after the last whole line, of n bytes.
func (l *Log) fail(n int, err error) {
	l.written += int64(bytes.LastIndexByte(l.lines[:max(n, 0)], '\n') + 1)
	l.file.Truncate(l.written)
	l.failure = fmt.Errorf("%s: the recording cannot be written on: %w", l.name, err)
	if errors.Is(err, syscall.ENOSPC) {
		l.failure = &Error{Port: l.name, Problem: Failed, Msg: "the disk is full; the recording ends with the last whole line", Hint: "make room, or record to another disk"}
	}
	l.lines = nil
}

// Close flushes and closes the file.
func (l *Log) Close() error {
	err := l.Flush()
	return errors.Join(err, l.file.Close())
}
