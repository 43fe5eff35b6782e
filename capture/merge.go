package capture

import (
	"math"
	"strings"
)

// Merge joins recordings that one instrument made at the same time on different
// channels: their time columns are the same. Each phase column and each Hall lead
// must come from one of them only, except that single columns that all claim to
// be p1, as where each channel has a file of its own, count as p1, p2, p3 in the
// order given. ok is false where the recordings are not of that sort; nothing is
// changed then.
func Merge(recs []*Recording) (joined *Recording, ok bool) {
	if len(recs) < 2 || !sameTimes(recs) {
		return nil, false
	}
	out := *recs[0]
	out.Columns, out.Hall, out.Merged = nil, nil, true
	signals, numbered := columnSignals(recs)
	if signals == nil {
		return nil, false
	}
	out.VoltsPerUnit = commonScale(recs)
	for i, rec := range recs {
		for k, c := range rec.Columns {
			c.Signal = signals[i][k]
			if out.VoltsPerUnit > 0 {
				c.Value = scaled(c.Value, rec.VoltsPerUnit/out.VoltsPerUnit)
			}
			out.Columns = append(out.Columns, c)
		}
		out.join(rec, i > 0)
	}
	if out.Hall, ok = mergeLevels(recs); !ok {
		return nil, false
	}
	note := "the files have one time column, so they were taken as channels of one recording"
	if numbered {
		note += ", p1, p2, p3 in the order given"
	}
	out.Notes = append(out.Notes, note)
	return &out, true
}

// commonScale returns the scale of the first recording that has phase columns; 0
// where one of them does not know its own.
func commonScale(recs []*Recording) float64 {
	scale := 0.0
	for _, rec := range recs {
		switch {
		case len(rec.Columns) == 0:
		case rec.VoltsPerUnit == 0:
			return 0
		case scale == 0:
			scale = rec.VoltsPerUnit
		}
	}
	return scale
}

// scaled returns v times factor, v itself where that is 1.
func scaled(v []float64, factor float64) []float64 {
	if factor == 1 {
		return v
	}
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = factor * x
	}
	return out
}

// join adds another recording's name, names of leads and damage.
func (r *Recording) join(other *Recording, more bool) {
	if !more {
		r.Notes = append([]string(nil), r.Notes...)
		return
	}
	r.Name += ", " + other.Name
	r.BadRows += other.BadRows
	r.Damage = append(append([]*SyntaxError(nil), r.Damage...), other.Damage...)
	if len(r.Damage) > MaxDamage {
		r.Damage = r.Damage[:MaxDamage]
	}
	for _, n := range other.Notes {
		if !strings.Contains(strings.Join(r.Notes, "\n"), n) {
			r.Notes = append(r.Notes, n)
		}
	}
}

// sameTimes reports whether all time columns agree to a tenth of an interval.
func sameTimes(recs []*Recording) bool {
	first := recs[0].Time
	if len(first) < 2 {
		return false
	}
	limit := 0.1 * recs[0].Seconds() / float64(len(first)-1)
	for _, rec := range recs[1:] {
		if len(rec.Time) != len(first) || math.Abs(rec.Start-recs[0].Start) > limit {
			return false
		}
		for i, t := range rec.Time {
			if math.Abs(t-first[i]) > limit {
				return false
			}
		}
	}
	return true
}

// columnSignals returns the signal of each recording's columns; nil where two
// claim the same one. numbered is true where they were numbered by order.
func columnSignals(recs []*Recording) (signals [][]Signal, numbered bool) {
	numbered = len(recs) <= 3
	seen := map[Signal]bool{}
	distinct := true
	differences := 0
	for _, rec := range recs {
		var own []Signal
		for _, c := range rec.Columns {
			distinct = distinct && !seen[c.Signal]
			seen[c.Signal] = true
			own = append(own, c.Signal)
			if c.Signal.Difference() {
				differences++
			}
		}
		numbered = numbered && len(own) == 1 && own[0] == P1
		signals = append(signals, own)
	}
	if numbered {
		for i := range signals {
			signals[i] = []Signal{P1 + Signal(i)}
		}
		return signals, true
	}
	count := 0
	for _, own := range signals {
		count += len(own)
	}
	if !distinct || count > 3 || differences != 0 && differences != count {
		return nil, false
	}
	return signals, false
}

// mergeLevels joins the Hall levels; ok is false where two recordings have the
// same lead.
func mergeLevels(recs []*Recording) (levels []Levels, ok bool) {
	var owner [3]int
	for i, rec := range recs {
		for lead := range owner {
			for _, l := range rec.Hall {
				if _, known := l.Level(lead); known {
					if owner[lead] != 0 {
						return nil, false
					}
					owner[lead] = i + 1
					break
				}
			}
		}
	}
	levels = make([]Levels, len(recs[0].Time))
	for row := range levels {
		levels[row] = UnknownLevels
		for lead, from := range owner {
			if from == 0 {
				continue
			}
			if high, known := recs[from-1].Hall[row].Level(lead); known {
				levels[row] = levels[row].With(lead, high)
			}
		}
	}
	return levels, true
}

// Together returns the facts of recordings that were made one after another: the
// names, rows and lengths of all, but no columns.
func Together(recs []*Recording) *Recording {
	out := &Recording{}
	for i, rec := range recs {
		start := 0.0
		if n := len(out.Time); n > 0 {
			start = out.Time[n-1]
		}
		for _, t := range rec.Time {
			out.Time = append(out.Time, start+t)
		}
		if i == 0 {
			out.Name, out.VoltsPerUnit = rec.Name, rec.VoltsPerUnit
			out.BadRows, out.Damage, out.Notes = rec.BadRows, rec.Damage, rec.Notes
		}
		out.join(rec, i > 0)
		out.LostSets += rec.LostSets
		out.LostEdges += rec.LostEdges
		out.PolePairs = max(out.PolePairs, rec.PolePairs)
		out.Leads = out.Leads.or(rec.Leads)
	}
	return out
}

// or returns the names with those of other where there is none.
func (l Leads) or(other Leads) Leads {
	for i := range 3 {
		if l.Phase[i] == "" {
			l.Phase[i] = other.Phase[i]
		}
		if l.Hall[i] == "" {
			l.Hall[i] = other.Hall[i]
		}
	}
	return l
}
