package capture

import "strings"

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
