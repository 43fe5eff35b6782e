package vcd

import (
	"fmt"
	"strconv"
	"strings"

	"handspin/capture"
	"handspin/capture/csvfile"
)

// choice is which bit of which net each Hall lead is.
type choice struct {
	// bits has for every net that is used the leads of its lowest bits, the
	// lowest first.
	bits map[string][]int
	// size has the declared size of those nets.
	size map[string]int
}

// choose finds the Hall leads among the signals: those that the person named,
// those with names of the recording format, the only vector of three bits, or the
// only three of one bit that there are or that change.
func (r *reader) choose(columns string) error {
	r.chosen = choice{map[string][]int{}, map[string]int{}}
	if columns != "" {
		return r.named(columns)
	}
	if found, err := r.ownNames(); found || err != nil {
		return err
	}
	single, err := r.threeSingles()
	if single == nil || err != nil {
		return err
	}
	how := "order"
	names := []string{single[0].name, single[1].name, single[2].name}
	if order, ok := csvfile.ByEnds(names); ok {
		single = []signal{single[order[0]], single[order[1]], single[order[2]]}
		how = "names"
	}
	for i, s := range single {
		r.use(s, i)
	}
	r.note("by their %s the signals %s, %s and %s are taken for h1, h2 and h3; --columns says otherwise",
		how, capture.Quote(single[0].name), capture.Quote(single[1].name), capture.Quote(single[2].name))
	return nil
}

// ownNames takes the signals called h1, h2 and h3, or three bits called hall, false
// where there is none. Some of the three are enough: other recordings may have
// the others.
func (r *reader) ownNames() (found bool, err error) {
	var lines, words, others []signal
	for _, s := range r.nets() {
		leads := leadsOf[strings.ToLower(s.name)]
		switch {
		case len(leads) == 0 || len(leads) != s.size:
			if s.size == 1 {
				others = append(others, s)
			}
			continue
		case s.size == 1:
			lines = append(lines, s)
		default:
			words = append(words, s)
		}
		r.use(s, leads...)
	}
	if len(lines)+len(words) == 0 {
		return false, nil
	}
	if len(words) > 1 || len(words) == 1 && len(lines) > 0 || twoOfOneName(lines) {
		return false, r.fail(0, r.hint(), "which signals are the Hall leads cannot be told: several have the same meaning by their names")
	}
	if wide := r.wide(); len(wide) > 0 {
		r.note("signals of more than one bit that are not used: %s; save voltages as CSV", quotes(wide))
	}
	if len(lines) > 0 && len(lines) < 3 && len(others) > 0 {
		r.note("signals that are not used, since others are called h1, h2 or h3: %s; --columns can name them", quotes(others))
	}
	return true, nil
}

// wide returns the nets of more than one bit that are not used.
func (r *reader) wide() (out []signal) {
	for _, s := range r.nets() {
		if s.size > 1 && r.chosen.bits[s.id] == nil {
			out = append(out, s)
		}
	}
	return out
}

func twoOfOneName(signals []signal) bool {
	seen := map[string]bool{}
	for _, s := range signals {
		name := strings.ToLower(s.name)
		if seen[name] {
			return true
		}
		seen[name] = true
	}
	return false
}

func quotes(signals []signal) string {
	var names []string
	for _, s := range signals[:min(len(signals), listed)] {
		names = append(names, capture.Quote(s.path()))
	}
	if len(signals) > listed {
		names = append(names, "...")
	}
	return strings.Join(names, " ")
}

// nets returns the signals, each net once: by the place where it has a name of
// the recording format, or else by its first.
func (r *reader) nets() (out []signal) {
	at := map[string]int{}
	for _, s := range r.declarations.signals {
		i, seen := at[s.id]
		switch {
		case !seen:
			at[s.id] = len(out)
			out = append(out, s)
		case leadsOf[strings.ToLower(out[i].name)] == nil:
			if leadsOf[strings.ToLower(s.name)] != nil {
				out[i] = s
			}
		}
	}
	return out
}

// singles returns the nets of one bit.
func (r *reader) singles() (out []signal) {
	for _, s := range r.nets() {
		if s.size == 1 {
			out = append(out, s)
		}
	}
	return out
}

// threeSingles returns the three signals of one bit that the Hall leads must be,
// none where a vector of three bits is there in their place, or an error.
func (r *reader) threeSingles() ([]signal, error) {
	single := r.singles()
	switch nets := r.nets(); {
	case len(single) == 3:
		return single, nil
	case len(nets) == 1 && nets[0].size == 3:
		r.use(nets[0], leadsOf["hall"]...)
		r.note("the bits of %s are taken for h1, h2 and h3, the most significant first; --columns says otherwise", capture.Quote(nets[0].name))
		return nil, nil
	case len(single) < 3:
		return nil, r.fail(0, r.hint(), "which signals are the Hall leads cannot be told: there are %d of one bit, not 3", len(single))
	}
	changing, err := r.changing(single)
	if err == nil && len(changing) != 3 {
		err = r.fail(0, r.hint(), "which signals are the Hall leads cannot be told: there are %d of one bit, and %d of them change, not 3", len(single), len(changing))
	}
	if err == nil {
		r.note("of %d signals of one bit only three change", len(single))
	}
	return changing, err
}

// changing returns those of the signals that change, which takes reading the values
// once more.
func (r *reader) changing(signals []signal) (out []signal, err error) {
	all := *r
	all.rec, all.ups, all.low = &capture.Recording{}, map[string]int{}, map[string]bool{}
	err = all.readValues()
	for _, s := range signals {
		if all.ups[s.id] > 0 {
			out = append(out, s)
		}
	}
	return out, err
}

// count notes that a net has a value.
func (r *reader) count(id, value string) {
	if r.ups == nil || value != "0" && value != "1" {
		return
	}
	if value == "1" && r.low[id] {
		r.ups[id]++
	}
	r.low[id] = value == "0"
}

func (r *reader) use(s signal, leads ...int) {
	r.chosen.bits[s.id] = leads
	r.chosen.size[s.id] = s.size
}

// named reads a mapping such as "h1=HALL A,h2=top.b,h3=4" or "hall=code".
func (r *reader) named(columns string) error {
	taken := map[string]bool{}
	for entry := range strings.SplitSeq(columns, ",") {
		key, name, ok := strings.Cut(entry, "=")
		key, name = strings.ToLower(strings.TrimSpace(key)), strings.TrimSpace(name)
		leads, known := leadsOf[key]
		if !ok || !known {
			return r.wrong("%s is not of the form h1=NAME or hall=NAME, which is all that a value change dump can have", capture.Quote(entry))
		}
		s, err := r.find(name)
		if err != nil {
			return err
		}
		switch {
		case s.size != len(leads):
			return r.wrong("signal %s has %d bits, %s takes %d", capture.Quote(name), s.size, key, len(leads))
		case r.chosen.bits[s.id] != nil:
			return r.wrong("signal %s is used twice", capture.Quote(name))
		case taken[key]:
			return r.wrong("%s is given twice", key)
		case len(taken) > 0 && (key == "hall" || taken["hall"]):
			return r.wrong("hall gives all the levels, there is no place for others beside it")
		}
		taken[key] = true
		r.use(s, leads...)
	}
	return nil
}

// leadsOf are the keys of a mapping with their leads, the lowest bit first.
var leadsOf = map[string][]int{"h1": {0}, "h2": {1}, "h3": {2}, "hall": {2, 1, 0}}

// find returns the signal of a name, of a path, or of a number from 1 in the order
// of the declarations. Nets that are declared in several places are one.
func (r *reader) find(name string) (found signal, err error) {
	n := 0
	name = plain(name)
	for _, s := range r.declarations.signals {
		if !strings.EqualFold(s.name, name) && !(s.in != nil && strings.EqualFold(s.path(), name)) {
			continue
		}
		if n == 0 || s.id != found.id {
			n++
		}
		found = s
	}
	number, numberErr := strconv.Atoi(name)
	switch signals := r.declarations.signals; {
	case n == 1:
		return found, nil
	case n > 1:
		return found, r.wrong("there are %d signals %s; give the name with its scopes", n, capture.Quote(name))
	case numberErr == nil && 1 <= number && number <= len(signals):
		return signals[number-1], nil
	}
	return found, r.wrong("there is no signal %s", capture.Quote(name))
}

func (r *reader) wrong(format string, args ...any) error {
	return &csvfile.OptionError{Flag: "--columns", Msg: fmt.Sprintf(format, args...), Hint: "in " + r.name + " " + r.list()}
}

func (r *reader) hint() string {
	return "say which is which with --columns 'h1=NAME,h2=NAME,h3=NAME', or hall=NAME for a signal of three bits; " + r.list()
}

// listed is how many signals a hint lists.
const listed = 20

func (r *reader) list() string {
	var names []string
	signals := r.declarations.signals
	for _, s := range signals[:min(len(signals), listed)] {
		name := capture.Quote(s.path())
		if s.size > 1 {
			name += fmt.Sprintf(" (%d bits)", s.size)
		}
		names = append(names, name)
	}
	if len(signals) > listed {
		names = append(names, "...")
	}
	if len(names) == 0 {
		return "no signal is declared"
	}
	return "the signals are " + strings.Join(names, " ")
}
