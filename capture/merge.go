package capture

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Merge joins recordings that one instrument made at the same time on different
// channels: their rows are at the same times, but for a part of the sampling
// interval and a few rows. Each phase column and each Hall lead must come from one
// of them only, except that single columns that were all taken for p1 by their
// order, as where each channel has a file of its own, count as p1, p2, p3 in the
// order given. The error says why the recordings are not of that sort; nothing is
// changed then.
func Merge(recs []*Recording) (*Recording, error) {
	if len(recs) < 2 {
		return nil, errors.New("there is only one recording")
	}
	signals, numbered, err := columnSignals(recs)
	if err != nil {
		return nil, err
	}
	owner, err := leadOwners(recs)
	if err != nil {
		return nil, err
	}
	base := recs[max(0, owner[0], owner[1], owner[2])]
	var rows []matching
	for _, rec := range recs {
		m, err := match(base, rec)
		if err != nil {
			return nil, err
		}
		rows = append(rows, m)
	}
	out := *base
	out.Name, out.Columns, out.Merged = recs[0].Name, nil, true
	out.Hall = mergeLevels(recs, rows, owner)
	for lead, from := range owner {
		if out.Swings[lead] = (Swing{}); from >= 0 {
			out.Swings[lead] = recs[from].Swings[lead]
		}
	}
	out.VoltsPerUnit = commonScale(recs)
	out.BadRows, out.Damage, out.Notes, out.Leads = recs[0].BadRows, recs[0].Damage, recs[0].Notes, Leads{}
	for i, rec := range recs {
		for k, c := range rec.Columns {
			c.Signal = signals[i][k]
			c.Value = rows[i].values(c.Value)
			c.Skew += rows[i].later
			if out.VoltsPerUnit > 0 {
				c.Value = scaled(c.Value, rec.VoltsPerUnit/out.VoltsPerUnit)
			}
			out.Columns = append(out.Columns, c)
		}
		out.join(rec, i > 0)
		if numbered {
			out.Notes = slices.DeleteFunc(out.Notes, func(n string) bool { return strings.HasPrefix(n, ByOrder) })
		}
		out.Leads = out.Leads.or(rec.Leads)
		out.PolePairs = max(out.PolePairs, rec.PolePairs)
	}
	out.Notes = append(out.Notes, mergeNotes(recs, rows, numbered)...)
	return &out, nil
}

// mergeNotes says what was assumed.
func mergeNotes(recs []*Recording, rows []matching, numbered bool) []string {
	note := "the files have one time column, so they were taken as channels of one recording"
	if numbered {
		note += "; p1, p2, p3 are their columns in the order given"
	}
	notes := []string{note}
	for i, m := range rows {
		var what []string
		if m.later != 0 {
			what = append(what, fmt.Sprintf("its times are %.3g us later than those of others", 1e6*m.later))
		}
		if m.without > 0 {
			what = append(what, fmt.Sprintf("rows without a partner: %d", m.without))
		}
		if len(what) > 0 {
			notes = append(notes, recs[i].Name+": "+strings.Join(what, ", "))
		}
	}
	return notes
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

// columnSignals returns the signal of each recording's columns, or the error that
// two claim the same one. numbered is true where they were numbered by order.
func columnSignals(recs []*Recording) (signals [][]Signal, numbered bool, err error) {
	var all []Signal
	numbered = true
	for _, rec := range recs {
		var own []Signal
		for _, c := range rec.Columns {
			own = append(own, c.Signal)
			numbered = numbered && c.Signal == P1 && !strings.EqualFold(c.Source, "p1")
		}
		numbered = numbered && len(own) <= 1
		signals, all = append(signals, own), append(all, own...)
	}
	if numbered = numbered && 2 <= len(all) && len(all) <= 3; numbered {
		next := P1
		for _, own := range signals {
			for k := range own {
				own[k] = next
				next++
			}
		}
		return signals, true, nil
	}
	for i, s := range all {
		for _, before := range all[:i] {
			if s == before {
				return nil, false, fmt.Errorf("%s is in more than one of them", s)
			}
			if s.Difference() != before.Difference() {
				return nil, false, fmt.Errorf("%s and %s mix leads with differences of leads", before, s)
			}
		}
	}
	return signals, false, nil
}

// leadOwners returns which recording has each Hall lead, 0 where none has it, or
// the error that two have the same.
func leadOwners(recs []*Recording) (owner [3]int, err error) {
	for i := range owner {
		owner[i] = -1
	}
	for i, rec := range recs {
		for lead := range owner {
			if !rec.hasLead(lead) {
				continue
			}
			if owner[lead] >= 0 {
				return owner, fmt.Errorf("h%d is in more than one of them", lead+1)
			}
			owner[lead] = i
		}
	}
	return owner, nil
}

// hasLead reports whether any row tells the level of a Hall lead.
func (r *Recording) hasLead(lead int) bool {
	for _, l := range r.Hall {
		if _, known := l.Level(lead); known {
			return true
		}
	}
	return false
}

// mergeLevels takes the levels of each Hall lead from the recording that has it.
func mergeLevels(recs []*Recording, rows []matching, owner [3]int) []Levels {
	levels := make([]Levels, len(rows[0].row))
	for row := range levels {
		levels[row] = UnknownLevels
		for lead, from := range owner {
			if from < 0 || rows[from].row[row] < 0 {
				continue
			}
			if high, known := recs[from].Hall[rows[from].row[row]].Level(lead); known {
				levels[row] = levels[row].With(lead, high)
			}
		}
	}
	return levels
}
