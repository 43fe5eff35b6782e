package csvfile

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"slices"

	"handspin/capture"
)

// reader reads one text.
type reader struct {
	source
	opt    Options
	lay    *layout
	rec    *capture.Recording
	header header
	// at has the offset of each row's time cell.
	at []uint32
	// partSize is about how much text is read at once.
	partSize int
	// lines are the values of h1 h2 h3 columns, levels yet to be found.
	lines [3][]float64
	// index are the values of the index column, nil where there is none.
	index []float64
	// column has the index in rec.Columns of each signal.
	column [6]int
	cells  []cell
	// ordinal counts the rows of the file, damaged ones included.
	ordinal int
	damage  []damage
	// marks has the offset of the first cell with a point and of the first
	// with a comma in its number, -1 where there is none.
	marks [2]int
	// overflow is whether there is a value beyond the range.
	overflow bool
	// zeros is what zerosLost found, once it has been asked.
	zeros struct{ asked, lost bool }
	// sums is whether a row and a header line with a right sum have come. A line
	// without one is then torn, or was not sent by the board.
	sums struct{ rows, headers bool }
	// guessed is the table of which columns were taken for those of Hall levels
	// because their first values are 0 and 1, nil for none.
	guessed *table
	// wallClock is set where the rows' times were times of day.
	wallClock bool
	// origin is the time of row 0 where the rows are counted, in seconds.
	origin float64
	// preamble counts the lines before the rows that are not used.
	preamble int
	// rowsBefore counts the rows before the column names, of which firstBefore is
	// the offset of the first.
	rowsBefore, firstBefore int
	// between counts the lines among an instrument's rows that have no number.
	between int
}

// Read reads a recording; name is the file's name for messages. Errors are
// [*capture.SyntaxError], [*OptionError] or what r returned.
func Read(r io.Reader, name string, opt Options) (*capture.Recording, error) {
	text := bytes.NewBuffer(make([]byte, 0, sizeOf(r)+bytes.MinRead))
	if _, err := text.ReadFrom(r); err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return Parse(text.Bytes(), name, opt)
}

// sizeOf returns how many bytes r is going to give, where it can be known.
func sizeOf(r io.Reader) int {
	switch r := r.(type) {
	case interface{ Len() int }:
		return r.Len()
	case interface{ Stat() (fs.FileInfo, error) }:
		if info, err := r.Stat(); err == nil && info.Mode().IsRegular() {
			return int(info.Size())
		}
	}
	return 0
}

// Parse is [Read] for a text in memory. It does not change text, and the
// recording does not refer to it.
func Parse(text []byte, name string, opt Options) (*capture.Recording, error) {
	return parse(text, name, opt, partSize)
}

// parse is [Parse] with the size of the parts that are read side by side.
func parse(text []byte, name string, opt Options, partSize int) (*capture.Recording, error) {
	readableText, lead := readable(text)
	r := &reader{
		partSize: partSize,
		source:   source{name, readableText, lead},
		opt:      opt,
		rec:      &capture.Recording{Name: name},
		marks:    [2]int{-1, -1},
	}
	if err := opt.check(); err != nil {
		return nil, err
	}
	if err := r.check(); err != nil {
		return nil, err
	}
	r.spelled()
	if err := r.findLayout(); err != nil {
		// A file of another version may well have other columns: say that first.
		if headerErr := r.headerLines(); headerErr != nil {
			return nil, headerErr
		}
		return nil, err
	}
	if len(r.rec.Time) == 0 { // or else the layout came with its rows
		if err := r.oneComma(); err != nil {
			return nil, err
		}
		r.prepare()
		if err := r.readLines(); err != nil {
			return nil, err
		}
	}
	return r.finish()
}

func (r *reader) findLayout() (err error) {
	if err = r.checkLength(); err != nil {
		return err
	}
	if r.opt.Columns == "" {
		if r.lay, err = r.namedLayout(r.opt.SampleRate == 0); r.lay != nil || err != nil {
			if err = r.settle(err); err == nil {
				r.besideNames()
			}
			return err
		}
	}
	if err = r.tableOf(); r.lay != nil || err != nil {
		return err
	}
	if needTime := r.opt.SampleRate == 0; r.opt.Columns != "" {
		r.lay, err = r.mappedLayout(r.opt.Columns, needTime)
	} else {
		err = r.noNames(needTime)
	}
	return r.settle(err)
}

// settle finds the units of a layout, unless there was an error with it.
func (r *reader) settle(err error) error {
	if err != nil {
		return err
	}
	if err = r.unitRow(r.lay); err != nil {
		return err
	}
	r.settleTime()
	return nil
}

// checkLength refuses a line too long to be one.
func (r *reader) checkLength() error {
	for at := 0; at < len(r.text); {
		// Most lines are short, and passed over by the hundred.
		if n := bytes.LastIndexByte(r.text[at:min(at+mostCells, len(r.text))], '\n'); n >= 0 {
			at += n + 1
			continue
		}
		to, next := r.line(at)
		if to-at > maxLine {
			return r.fail(at, "a recording is a CSV file with one row per line", "the line is longer than 1 MiB")
		}
		if to-at > mostCells && r.mostCells(at, to) {
			return r.fail(at, "save the columns of the leads and the time alone", "the line has more than %d cells", mostCells)
		}
		at = next
	}
	return nil
}

// settleTime drops the time column where a sample rate is given.
func (r *reader) settleTime() {
	for i, c := range r.lay.used {
		if c.field == fieldTime && r.opt.SampleRate != 0 {
			r.lay.used = slices.Delete(r.lay.used, i, i+1)
			r.note("the time column %s is not used, the sample rate is given", capture.Quote(c.name))
			return
		}
	}
}

// headerLines reads the header lines alone.
func (r *reader) headerLines() error {
	for at := 0; at < len(r.text); {
		to, next := r.line(at)
		if from := r.begin(at, to); from < to && r.text[from] == '#' {
			if err := r.headerLine(from, to); err != nil {
				return err
			}
		}
		at = next
	}
	return nil
}

// prepare makes the recording's columns, with room for all rows.
func (r *reader) prepare() {
	rows := bytes.Count(r.text[max(r.lay.first, r.lay.to):], []byte{'\n'}) + 1
	rec := r.rec
	rec.Time = make([]float64, 0, rows)
	rec.Hall = make([]capture.Levels, 0, rows)
	rec.Edge = make([]bool, 0, rows)
	r.at = make([]uint32, 0, rows)
	r.lay.arrange()
	for _, c := range r.lay.used {
		switch {
		case c.field.isPhase():
			r.column[c.field.signal()] = len(rec.Columns)
			rec.Columns = append(rec.Columns, capture.Column{
				Signal: c.field.signal(), Source: c.name, Value: make([]float64, 0, rows)})
		case c.field == fieldIndex:
			r.index = make([]float64, 0, rows)
		case c.field.isLine():
			r.lines[c.field.lead()] = make([]float64, 0, rows)
		}
	}
}

// values returns the columns of numbers but for that of time.
func (r *reader) values() []*[]float64 {
	var all []*[]float64
	for i := range r.rec.Columns {
		all = append(all, &r.rec.Columns[i].Value)
	}
	for i := range r.lines {
		if r.lines[i] != nil {
			all = append(all, &r.lines[i])
		}
	}
	if r.index != nil {
		all = append(all, &r.index)
	}
	return all
}
