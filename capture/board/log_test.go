package board

import (
	"errors"
	"os"
	"strings"
	"syscall"
	"testing"

	"handspin/capture/csvfile"
)

func TestLog(t *testing.T) {
	path := t.TempDir() + "/motor.csv"
	log, err := Create(path, false)
	if err != nil {
		t.Fatal(err)
	}
	log.Line([]byte("# a\x1b[2J\xff: b\tc"))
	content := func() string {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	if content() != "" {
		t.Error("written before the flush")
	}
	if err := log.Flush(); err != nil || content() != "# a?[2J?: b\tc\n" {
		t.Errorf("%v, %q", err, content())
	}
	log.Line([]byte("1"))
	if err := log.Close(); err != nil || !strings.HasSuffix(content(), "\n1\n") {
		t.Errorf("%v, %q", err, content())
	}
	if _, err := Create(path, false); err == nil {
		t.Error("overwritten")
	}
	if log, err := Create(path, true); err != nil || content() != "" {
		t.Errorf("not overwritten by force: %v", err)
	} else if err := log.Close(); err != nil {
		t.Error(err)
	}
	if _, err := Create(path+"/x", false); err == nil {
		t.Error("made in a file")
	}
}

// fullDisk takes so many bytes and no more.
type fullDisk struct {
	*os.File
	room int
}

func (d *fullDisk) Write(p []byte) (int, error) {
	n, err := d.File.Write(p[:min(len(p), d.room)])
	d.room -= n
	if err == nil && n < len(p) {
		err = syscall.ENOSPC
	}
	return n, err
}

// TestFullDisk: the error says so, and the file is a recording up to its last
// whole line, wherever the disk was full.
func TestFullDisk(t *testing.T) {
	text := header + rows(0, 20)
	for room := len(header) + len(rows(0, 2)); room < len(text); room += 7 {
		f, err := os.Create(t.TempDir() + "/motor.csv")
		if err != nil {
			t.Fatal(err)
		}
		log := &Log{name: "motor.csv", file: &fullDisk{f, room}}
		for l := range strings.Lines(text) {
			log.Line([]byte(strings.TrimSuffix(l, "\n")))
			if len(log.lines) > 100 {
				log.Flush()
			}
		}
		err = log.Close()
		if e, ok := errors.AsType[*Error](err); !ok || e.Error() != "motor.csv: the disk is full; the recording ends with the last whole line" {
			t.Fatalf("%v", err)
		}
		got, err := os.ReadFile(f.Name())
		if err != nil {
			t.Fatal(err)
		}
		want := text[:strings.LastIndexByte(text[:room], '\n')+1]
		if string(got) != want {
			t.Fatalf("with room for %d bytes the file ends with %q", room, got[max(0, len(got)-40):])
		}
		rec, err := csvfile.Parse(got, "motor.csv", csvfile.Options{})
		if err != nil || rec.BadRows > 0 {
			t.Fatalf("%v", err)
		}
	}
}

func TestOtherWriteErrors(t *testing.T) {
	f, err := os.Create(t.TempDir() + "/motor.csv")
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	log := &Log{name: "motor.csv", file: f}
	log.Line([]byte("x"))
	if err := log.Flush(); !errors.Is(err, os.ErrClosed) || !strings.Contains(err.Error(), "motor.csv") {
		t.Errorf("%v", err)
	}
	if err := log.Close(); err == nil {
		t.Error("the error is forgotten")
	}
}
