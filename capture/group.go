package capture

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// ErrWhichSpin says that nothing tells which recordings were made at once.
var ErrWhichSpin = errors.New("which files are of one spin cannot be told")

// Group joins those of several recordings that were made at once, as where an
// instrument has a file for each channel: one recording for each spin remains, in
// the order of its first. It does so only if one of them needs it, having no more
// than one lead or no Hall lead, and is of the same time as another. Where time
// alone does not tell, for an instrument may count each spin from the same moment,
// the order has to: each spin's files one after another, as many for each spin, no
// lead twice within it. The error is ErrWhichSpin where that does not tell either.
func Group(recs []*Recording) ([]*Recording, error) {
	if !slices.ContainsFunc(recs, (*Recording).needsCompany) {
		return recs, nil
	}
	classes := sameTimes(recs)
	if len(classes) == len(recs) {
		return recs, nil
	}
	if !slices.ContainsFunc(classes, func(class []*Recording) bool { return leadTwice(class) != "" }) {
		return mergeEach(classes, "")
	}
	groups, err := inOrder(recs, classes)
	if err != nil {
		return nil, err
	}
	return mergeEach(groups, " by their order")
}

// GroupAs joins recordings that the person says were made at once: those with the
// same number of a spin, 0 standing for a spin that none other is of. The order is
// that of each spin's first.
func GroupAs(recs []*Recording, spin []int) ([]*Recording, error) {
	var sets [][]*Recording
	place := map[int]int{}
	for i, rec := range recs {
		if k, known := place[spin[i]]; known && spin[i] != 0 {
			sets[k] = append(sets[k], rec)
			continue
		}
		place[spin[i]] = len(sets)
		sets = append(sets, []*Recording{rec})
	}
	return mergeEach(sets, "")
}

// needsCompany reports whether a recording tells nothing of a motor but together
// with another that was made at once.
func (r *Recording) needsCompany() bool {
	leads := r.leads()
	return len(leads) == 1 || len(leads) > 1 && leads[0][0] != 'h'
}

// leads returns the names of the leads that a recording has, Hall leads first.
func (r *Recording) leads() (names []string) {
	for lead := range 3 {
		if r.hasLead(lead) {
			names = append(names, leadKeys[3+lead])
		}
	}
	for _, c := range r.Columns {
		names = append(names, c.Signal.String())
	}
	return names
}

// sameTimes puts recordings of the same times together, each set in the order
// given.
func sameTimes(recs []*Recording) (classes [][]*Recording) {
	for _, rec := range recs {
		k := slices.IndexFunc(classes, func(class []*Recording) bool {
			_, err := match(class[0], rec)
			return err == nil
		})
		if k < 0 {
			classes = append(classes, []*Recording{rec})
		} else {
			classes[k] = append(classes[k], rec)
		}
	}
	return classes
}

// leadTwice returns a lead that several recordings have; empty for none.
func leadTwice(recs []*Recording) string {
	var seen []string
	for _, rec := range recs {
		for _, lead := range rec.leads() {
			if slices.Contains(seen, lead) {
				return lead
			}
			seen = append(seen, lead)
		}
	}
	return ""
}

// inOrder cuts recordings into spins of one size, if that can be done in one way
// only.
func inOrder(recs []*Recording, classes [][]*Recording) (spins [][]*Recording, err error) {
	var sizes []int
	for size := 2; size < len(recs); size++ {
		if cut := slices.Collect(slices.Chunk(recs, size)); len(recs)%size == 0 && areSpins(cut, classes) {
			sizes, spins = append(sizes, size), cut
		}
	}
	switch len(sizes) {
	case 1:
		return spins, nil
	case 0:
		return nil, fmt.Errorf("%w: %s", ErrWhichSpin, commonTimes(classes))
	}
	return nil, fmt.Errorf("%w: in their order they can be taken by %d or by %d", ErrWhichSpin, sizes[0], sizes[1])
}

// areSpins reports whether each set can be of one spin, and all have Hall leads in
// common through which they can be joined by angle.
func areSpins(sets, classes [][]*Recording) bool {
	return shareHalls(sets) && !slices.ContainsFunc(sets, func(set []*Recording) bool {
		together := slices.ContainsFunc(classes, func(class []*Recording) bool {
			return !slices.ContainsFunc(set, func(r *Recording) bool { return !slices.Contains(class, r) })
		})
		return !together || leadTwice(set) != ""
	})
}

// shareHalls reports whether each set has a Hall lead in common with another, that
// with another, and so on to all.
func shareHalls(sets [][]*Recording) bool {
	var reached [3]bool
	waiting := sets
	for first := true; len(waiting) > 0; first = false {
		k := slices.IndexFunc(waiting, func(set []*Recording) bool {
			for lead, known := range hallsOf(set) {
				if known && (first || reached[lead]) {
					return true
				}
			}
			return false
		})
		if k < 0 {
			return false
		}
		for lead, known := range hallsOf(waiting[k]) {
			reached[lead] = reached[lead] || known
		}
		waiting = slices.Delete(slices.Clone(waiting), k, k+1)
	}
	return true
}

// hallsOf says which Hall leads a set has.
func hallsOf(set []*Recording) (has [3]bool) {
	for _, rec := range set {
		for lead := range has {
			has[lead] = has[lead] || rec.hasLead(lead)
		}
	}
	return has
}

// commonTimes names recordings of the same times that cannot be of one spin.
func commonTimes(classes [][]*Recording) string {
	for _, class := range classes {
		if lead := leadTwice(class); lead != "" {
			return fmt.Sprintf("%s have the same times, and %s more than once", names(class, ", "), lead)
		}
	}
	return ""
}

func names(recs []*Recording, by string) string {
	var all []string
	for _, rec := range recs {
		all = append(all, rec.Name)
	}
	return strings.Join(all, by)
}

// mergeEach merges each set; why is added to what the first recording says of it.
func mergeEach(sets [][]*Recording, why string) (out []*Recording, err error) {
	var merged []string
	for _, set := range sets {
		rec := set[0]
		if len(set) > 1 {
			if rec, err = Merge(set); err != nil {
				return nil, fmt.Errorf("%s are not of one spin: %w", names(set, ", "), err)
			}
			merged = append(merged, names(set, " with "))
		}
		out = append(out, rec)
	}
	if len(merged) > 0 {
		first := *out[0]
		first.Notes = append(slices.Clone(first.Notes), "taken for one spin"+why+": "+strings.Join(merged, "; "))
		out[0] = &first
	}
	return out, nil
}
