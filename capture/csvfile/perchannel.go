package csvfile

import (
	"regexp"
	"strings"

	"handspin/capture"
)

// channelLine begins the block of one channel in files that have them one after
// the other.
var channelLine = regexp.MustCompile(`(?mi)^[ \t]*#channel[:=]([^\r\n]*)`)

// channelBlock is one channel: its name, unit and values, with the offset of each.
type channelBlock struct {
	at       int
	name     string
	settings meta
	values   []float64
	places   []int
}

// perChannel reads a file that has a block of values for each channel, false
// where it is none.
func (r *reader) perChannel() (bool, error) {
	if !channelLine.Match(r.text[:min(len(r.text), sampled)]) {
		return false, nil
	}
	blocks := r.channelBlocks()
	interval, longestBlock := 0.0, channelBlock{}
	for _, b := range blocks {
		own := b.settings.interval()
		if own > 0 && interval > 0 && own != interval {
			return true, r.fail(b.at, "save channels of one rate only", "the channels are sampled at different rates")
		}
		interval = max(interval, own)
		if len(b.values) > len(longestBlock.values) {
			longestBlock = b
		}
	}
	if r.opt.SampleRate == 0 && interval > 0 {
		r.opt.SampleRate = 1 / interval
		r.note("there is no time column; the rows are %.6g s apart, as the file says", interval)
	}
	if r.opt.SampleRate == 0 {
		return true, r.fail(blocks[0].at, "give --sample-rate HZ", "nothing says how far apart the values are")
	}
	if len(longestBlock.values) < minRows {
		return true, r.fail(blocks[0].at, "", "there are not enough values below the channel's name")
	}
	return true, r.besides(blocks, longestBlock.places)
}

// channelBlocks reads the blocks. A line that is no number is damaged and keeps
// its place in time.
func (r *reader) channelBlocks() (blocks []channelBlock) {
	for at := 0; at < len(r.text); {
		to, next := r.line(at)
		from := r.begin(at, to)
		text := r.text[from:to]
		switch {
		case channelLine.Match(text):
			blocks = append(blocks, channelBlock{at: from, name: bare(string(channelLine.FindSubmatch(text)[1])), settings: meta{}})
		case len(blocks) == 0 || from == to:
		case text[0] == '#':
			blocks[len(blocks)-1].settings.line(string(text[1:]), ',')
		default:
			b := &blocks[len(blocks)-1]
			v, ok := r.optional(trim(r.text, from, to))
			if !ok {
				r.damaged(from, "%s is not a number: %s", shown(b.name), capture.Quote(string(text)))
				v = capture.Missing
			}
			b.values, b.places = append(b.values, v), append(b.places, from)
		}
		at = next
	}
	return blocks
}

// list names the columns.
func (t *table) list() string {
	var names []string
	for _, h := range t.columns[:min(len(t.columns), listed)] {
		names = append(names, capture.Quote(h.called()))
	}
	return strings.Join(names, " ")
}

// besides puts the blocks beside one another as the columns of rows, of which
// the given are the places.
func (r *reader) besides(blocks []channelBlock, places []int) error {
	t := &table{block: block{sep: ','}, meta: meta{}}
	f := facts{}
	for i, b := range blocks {
		for len(b.values) < len(places) {
			b.values = append(b.values, capture.Missing)
		}
		t.columns = append(t.columns, heading{index: i, name: b.name, unit: b.settings["units"]})
		t.filled = append(t.filled, i)
		f = append(f, b.values)
	}
	var err error
	r.lay, err = r.tableLayout(t, f)
	switch {
	case err != nil:
		return err
	case r.lay == nil:
		what := "a channel that it names is not there, or is named twice"
		if _, err := parseMapping(r.opt.Columns); err != nil {
			what = err.Error()
		}
		return &OptionError{"--columns", what, "in " + r.name + " the channels are " + t.list()}
	}
	r.prepare()
	for i, at := range places {
		w := row{time: float64(i), at: at, hall: capture.UnknownLevels, said: true}
		for _, c := range r.lay.used {
			if c.field.isLine() {
				w.lines[c.field.lead()] = f[c.index][i]
			} else {
				w.phases[c.field.signal()] = f[c.index][i]
			}
		}
		r.keep(&w)
	}
	r.ordinal = len(places)
	return nil
}
