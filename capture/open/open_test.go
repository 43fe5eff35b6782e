package open

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"handspin/capture"
	"handspin/capture/csvfile"
)

const text = "t_us,hall,p1\n0,101,1.5\n10,100,2\n"

func pack(t testing.TB, text string) []byte {
	t.Helper()
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	if _, err := io.WriteString(z, text); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func file(t *testing.T, content []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "spin")
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestPath(t *testing.T) {
	packed := pack(t, text)
	plain, zipped, twice := file(t, []byte(text)), file(t, packed), file(t, pack(t, string(packed)))
	for _, c := range []struct {
		path, name string
		stdin      io.Reader
	}{
		{plain, plain, nil},
		{zipped, zipped, nil},
		{twice, twice, nil},
		{"-", "standard input", strings.NewReader(text)},
		{"-", "standard input", iotest.OneByteReader(bytes.NewReader(packed))},
	} {
		rec, err := Path(c.path, c.stdin, csvfile.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if rec.Name != c.name || rec.Rows() != 2 || rec.Time[1] != 10e-6 || rec.Columns[0].Value[0] != 1.5 {
			t.Errorf("%s: got %+v", c.path, rec)
		}
	}
}

func TestOptionsArePassedOn(t *testing.T) {
	rec, err := Path("-", strings.NewReader("A;B\n1,5;1\n2,5;0\n"), csvfile.Options{Columns: "p1=A,h1=B", SampleRate: 2})
	if err != nil || rec.Time[1] != 0.5 || rec.Columns[0].Value[1] != 2.5 {
		t.Errorf("%+v, %v", rec, err)
	}
}

// The kind of a file is told by its content: a dump under any name, packed.
func TestKindByContent(t *testing.T) {
	const dump = "$timescale 1 us $end $var wire 1 a h1 $end $enddefinitions $end #0 0a #5 1a"
	for _, path := range []string{file(t, []byte(dump)), file(t, pack(t, dump))} {
		rec, err := Path(path, nil, csvfile.Options{Columns: "h1=h1"})
		if err != nil || rec.Rows() != 2 || rec.Time[1] != 5e-6 || rec.Hall[1].String() != "1xx" {
			t.Errorf("%+v, %v", rec, err)
		}
	}
}

func TestErrors(t *testing.T) {
	packed := pack(t, text)
	damaged := bytes.Clone(packed)
	damaged[len(damaged)-8] ^= 1 // the checksum, RFC 1952 section 2.3.1
	dir := t.TempDir()
	const cut = "copy the file again; gzip -dc FILE > part.csv keeps what can be unpacked"
	for _, c := range []struct{ name, path, want, hint string }{
		{"missing", filepath.Join(dir, "none.csv"), "there is no such file", "check the spelling and the folder"},
		{"directory", dir, "this is a directory", "name a file in it"},
		{"truncated", file(t, packed[:len(packed)-10]), "the gzip data is cut off or damaged", cut},
		{"only the magic", file(t, packed[:2]), "the gzip data is cut off or damaged", cut},
		{"checksum", file(t, damaged), "the gzip data is cut off or damaged", cut},
		{"packed twice and damaged", file(t, pack(t, string(damaged))), "the gzip data is cut off or damaged", cut},
		{"packed twice and truncated", file(t, pack(t, string(packed[:len(packed)-10]))), "the gzip data is cut off or damaged", cut},
		{"packed three times", file(t, pack(t, string(pack(t, string(packed))))), "the file is packed with gzip more than 2 times over", "unpack it with gzip -d until it is text"},
	} {
		_, err := Path(c.path, nil, csvfile.Options{})
		check(t, c.name, err, c.path+": "+c.want, c.hint)
	}
	_, err := Path(file(t, nil), nil, csvfile.Options{})
	if err == nil || !strings.HasSuffix(err.Error(), ":1:1: the file is empty") {
		t.Errorf("empty: %v", err)
	}
}

func check(t *testing.T, name string, err error, want, hint string) {
	t.Helper()
	e, ok := errors.AsType[*capture.SyntaxError](err)
	if !ok || e.Error() != want || e.Hint != hint {
		t.Errorf("%s: %#v\nwant %s\n%s", name, err, want, hint)
	}
}

// A test that runs as root can read everything, so the error is made here.
func TestNoPermission(t *testing.T) {
	err := explain("f", &fs.PathError{Op: "open", Path: "f", Err: fs.ErrPermission})
	check(t, "permission", err, "f: there is no permission to read the file", "look at its permissions, or copy it")
}

func TestOtherErrors(t *testing.T) {
	_, err := Path("-", iotest.ErrReader(&fs.PathError{Op: "read", Path: "x", Err: errors.New("wires cut")}), csvfile.Options{})
	check(t, "read", err, "standard input: cannot be read: wires cut", "")
}

func TestLimit(t *testing.T) {
	const hint = "cut it to the seconds in which the rotor turns"
	_, err := read("f", strings.NewReader(text), len(text)-1, csvfile.Options{})
	check(t, "plain", err, "f: the text is longer than 1 GiB", hint)
	long := text + strings.Repeat("\n", 10_000)
	_, err = read("f", bytes.NewReader(pack(t, long)), len(text)*10, csvfile.Options{})
	check(t, "packed", err, "f: the text is longer than 1 GiB", hint)
	if _, err = read("f", strings.NewReader(text), len(text), csvfile.Options{}); err != nil {
		t.Errorf("at the limit: %v", err)
	}
}

// endless is a file that grows faster than it is read.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = "1,2\n"[i%4]
	}
	return len(p), nil
}

func TestEndlessFile(t *testing.T) {
	_, err := read("f", endless{}, 1<<16, csvfile.Options{})
	check(t, "endless", err, "f: the text is longer than 1 GiB", "cut it to the seconds in which the rotor turns")
}

// A file that is read while it is written ends within a row: that row is counted
// as damaged, the others are there.
func TestUnfinishedFile(t *testing.T) {
	rec, err := read("f", strings.NewReader("Time (s),CH1 (V)\n0,1\n1,2\n2,3\n3,"), 1<<16, csvfile.Options{})
	if err != nil || rec.Rows() != 3 || rec.BadRows != 1 || rec.Damage[0].Pos.Line != 5 {
		t.Fatalf("%+v, %v", rec, err)
	}
}

// largeFile writes a recording that is read as it lies on the disk, of a rotor
// at rest.
func largeFile(t *testing.T) (path string, rows int) {
	t.Helper()
	defer func(old int) { t.Cleanup(func() { mapFrom = old }) }(mapFrom)
	mapFrom = 4 << 20 // large enough to be read in parts
	path = filepath.Join(t.TempDir(), "large.csv")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w := bufio.NewWriter(f)
	defer w.Flush()
	n, _ := w.WriteString("t_us,hall,p1,p2,p3\n")
	for ; n < mapFrom; rows++ {
		k, _ := fmt.Fprintf(w, "%d,101,%d,511,510\n", 10*rows, 500+rows%7)
		n += k
	}
	return path, rows
}

// TestLargeFile: a large file is not copied; its rows are all there, and it is
// told how far the reading is.
func TestLargeFile(t *testing.T) {
	path, rows := largeFile(t)
	passed := 0
	rec, err := Path(path, nil, csvfile.Options{Passed: func(n int) {
		if n < passed {
			t.Errorf("%d bytes after %d", n, passed)
		}
		passed = n
	}})
	if err != nil || rec.Rows() != rows || passed < mapFrom {
		t.Fatalf("%v, %d bytes passed", err, passed)
	}
	for i, v := range rec.Columns[0].Value {
		if v != float64(500+i%7) {
			t.Fatalf("row %d has %g", i, v)
		}
	}
}

// TestCutOffMeanwhile: a large file that becomes shorter while it is read is an
// error, not the end of the program.
func TestCutOffMeanwhile(t *testing.T) {
	path, _ := largeFile(t)
	text, err := Get(path, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !text.mapped { // as on Windows, where the text is in memory
		return
	}
	if err := os.Truncate(path, int64(mapFrom)/2); err != nil {
		t.Fatal(err)
	}
	_, err = text.Parse(csvfile.Options{})
	if err == nil || !strings.Contains(err.Error(), "the file was cut off while it was read") {
		t.Errorf("%v", err)
	}
}

// TestLargeStream: a large text that comes through a pipe, packed or not, gives
// what the file gives, also where no temporary file can be had.
func TestLargeStream(t *testing.T) {
	path, rows := largeFile(t)
	plain, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	packed := pack(t, string(plain))
	there := t.TempDir()
	for _, temporary := range []string{there, filepath.Join(there, "none")} {
		t.Setenv("TMPDIR", temporary) // see os.TempDir
		for name, stream := range map[string][]byte{"plain": plain, "packed": packed} {
			rec, err := Path("-", bytes.NewReader(stream), csvfile.Options{})
			if err != nil || rec.Rows() != rows || rec.BadRows != 0 {
				t.Fatalf("%s, by way of %s: %v", name, temporary, err)
			}
			if last := rec.Columns[0].Value[rows-1]; last != float64(500+(rows-1)%7) {
				t.Errorf("%s, by way of %s: the last row has %g", name, temporary, last)
			}
		}
	}
	if left, err := os.ReadDir(there); err != nil || len(left) > 0 {
		t.Errorf("left: %v, %v", left, err)
	}
}

// The limit holds for what goes to the disk, too.
func TestLimitOfLargeStream(t *testing.T) {
	_, err := read("f", endless{}, mapFrom+1000, csvfile.Options{})
	check(t, "endless", err, "f: the text is longer than 1 GiB", "cut it to the seconds in which the rotor turns")
}

// What standard input is may be a file, as in a shell with <.
func TestStdinIsFile(t *testing.T) {
	f, err := os.Open(file(t, []byte(text)))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if rec, err := Path("-", f, csvfile.Options{}); err != nil || rec.Name != "standard input" || rec.Rows() != 2 {
		t.Errorf("%+v, %v", rec, err)
	}
	if rec, err := Path("-", f, csvfile.Options{}); err == nil { // it has been read
		t.Errorf("%+v", rec)
	}
}

func TestCalled(t *testing.T) {
	if got := Called("-") + Called("a"); got != "standard inputa" {
		t.Error(got)
	}
}
