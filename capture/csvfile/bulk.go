package csvfile

import (
	"bytes"
	"runtime"
	"runtime/debug"
	"sync"

	"handspin/capture"
)

const (
	// partSize is about how much text a worker takes at once.
	partSize = 1 << 17
	// aheadShare is the part of that which is read line by line before the rest is
	// given to the workers: by then it shows whether rows have sums.
	aheadShare = 16
)

// part is what a worker makes of a part of the text: the plain rows, and which
// lines among them are not plain. Those wait for the reader, since what they
// mean may depend on all before them.
type part struct {
	from, to int
	reader   reader
	odd      []oddLine
	done     sync.WaitGroup
	// fault is what the worker broke off with, for the reader to do so, too.
	fault any
}

// oddLine is a line that is no plain row, and how many rows of its part come
// before it.
type oddLine struct{ at, rows int }

// bulk reads the lines from at on, which are for the most part plain rows, on all
// processors. Header lines, damaged rows and the like are read in their turn, so
// that the result is what [reader.linesFrom] gives.
func (r *reader) bulk(at int) error {
	workers := runtime.GOMAXPROCS(0)
	queue := make(chan *part, 2*workers+2) // in the order of the text
	work := make(chan *part, cap(queue))   // the same parts
	spare := make(chan *part, cap(queue))  // all of them, to use again and again
	for range cap(spare) {
		spare <- &part{reader: r.worker()}
	}
	stop := make(chan struct{})
	defer close(stop)
	for range workers {
		go func() {
			debug.SetPanicOnFault(true) // as the reader may have it
			for p := range work {
				p.read()
			}
		}()
	}
	go func() {
		defer close(queue)
		defer close(work)
		for at < len(r.text) {
			select {
			case p := <-spare:
				p.cut(at)
				at = p.to
				queue <- p // there is room for all
				work <- p
			case <-stop:
				return
			}
		}
	}()
	for p := range queue {
		p.done.Wait()
		if p.fault != nil {
			panic(p.fault)
		}
		again, err := r.merge(p)
		switch {
		case err != nil:
			return err
		case again > 0:
			return r.linesFrom(again)
		}
		if r.opt.Passed != nil {
			r.opt.Passed(p.to)
		}
		spare <- p
	}
	return nil
}

// cut makes p the part of the text that begins at from and ends with a line.
func (p *part) cut(from int) {
	r := &p.reader
	p.from, p.to = from, min(from+r.partSize, len(r.text))
	_, p.to = r.line(p.to)
	p.done.Add(1)
}

// worker returns a reader of plain rows alone, with a recording of its own.
func (r *reader) worker() reader {
	w := reader{source: r.source, partSize: r.partSize, opt: r.opt, lay: r.lay, column: r.column, rec: &capture.Recording{}, sums: r.sums}
	w.zeros.asked = true // to ask is for the reader
	for _, c := range r.rec.Columns {
		w.rec.Columns = append(w.rec.Columns, capture.Column{Signal: c.Signal})
	}
	for i, v := range r.lines {
		if v != nil {
			w.lines[i] = []float64{}
		}
	}
	if r.index != nil {
		w.index = []float64{}
	}
	return w
}

// read reads the plain rows.
func (p *part) read() {
	defer p.done.Done()
	defer func() { p.fault = recover() }()
	w := &p.reader
	w.marks = [2]int{-1, -1}
	p.odd = p.odd[:0]
	q := w.quick(bytes.Count(w.text[p.from:p.to], []byte{'\n'}) + 1)
	for at := p.from; at < p.to; {
		next, ok := q.row(at)
		if !ok {
			w.setRows(q.rows)
			if next, ok = w.plainRow(at); !ok {
				p.odd = append(p.odd, oddLine{at, q.rows})
			}
			q.rows = len(w.rec.Time)
		}
		at = next
	}
	w.setRows(q.rows)
}

// setRows makes all columns so many rows long, which they have room for.
func (r *reader) setRows(n int) {
	rec := r.rec
	rec.Time, rec.Hall, rec.Edge, r.at = rec.Time[:n], rec.Hall[:n], rec.Edge[:n], r.at[:n]
	for _, v := range r.values() {
		*v = (*v)[:n]
	}
}

// merge takes over what a part has. A line after which rows mean something else
// ends that: again is then where the lines are to be read anew, else 0.
func (r *reader) merge(p *part) (again int, err error) {
	rows, sums := 0, r.sums.rows
	for _, o := range p.odd {
		r.adopt(&p.reader, rows, o.rows)
		rows = o.rows
		next, err := r.anyLine(o.at)
		if err != nil || r.sums.rows != sums {
			return next, err
		}
	}
	r.adopt(&p.reader, rows, len(p.reader.rec.Time))
	r.overflow = r.overflow || p.reader.overflow
	for i, at := range p.reader.marks {
		if r.marks[i] < 0 {
			r.marks[i] = at
		}
	}
	return 0, nil
}

// adopt appends rows from to to of a worker's.
func (r *reader) adopt(w *reader, from, to int) {
	rec := r.rec
	if r.opt.SampleRate != 0 {
		for i := from; i < to; i++ {
			w.rec.Time[i] = float64(r.ordinal + i - from)
		}
	}
	r.ordinal += to - from
	rec.Time = append(rec.Time, w.rec.Time[from:to]...)
	rec.Hall = append(rec.Hall, w.rec.Hall[from:to]...)
	rec.Edge = append(rec.Edge, w.rec.Edge[from:to]...)
	r.at = append(r.at, w.at[from:to]...)
	theirs := w.values()
	for i, v := range r.values() {
		*v = append(*v, (*theirs[i])[from:to]...)
	}
}
