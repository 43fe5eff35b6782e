package capture

import (
	"fmt"
	"strings"
	"unicode"
)

// leadKeys are the leads' own names, in the order of [Leads.all].
var leadKeys = [...]string{"p1", "p2", "p3", "h1", "h2", "h3"}

// all returns the names' places in the order of leadKeys.
func (l *Leads) all() [6]*string {
	return [6]*string{&l.Phase[0], &l.Phase[1], &l.Phase[2], &l.Hall[0], &l.Hall[1], &l.Hall[2]}
}

// ParseLeads reads the user's names of the leads, as in "p1=yellow,h1=white".
// Leads that are not named stay empty. An error names the entry that was wrong.
func ParseLeads(s string) (Leads, error) {
	var l Leads
	for entry := range strings.SplitSeq(s, ",") {
		key, name, ok := strings.Cut(entry, "=")
		key, name = strings.ToLower(strings.TrimSpace(key)), strings.TrimSpace(name)
		place := l.place(key)
		switch {
		case !ok:
			return Leads{}, fmt.Errorf("lead entry %q is not of the form p1=NAME", entry)
		case place == nil:
			return Leads{}, fmt.Errorf("lead %q is not one of p1 p2 p3 h1 h2 h3", key)
		case name == "":
			return Leads{}, fmt.Errorf("lead %s has an empty name", key)
		case *place != "":
			return Leads{}, fmt.Errorf("lead %s is named twice", key)
		case strings.ContainsFunc(name, unicode.IsControl):
			return Leads{}, fmt.Errorf("the name of lead %s has a control character: %q", key, name)
		}
		*place = name
	}
	return l, l.distinct()
}

// String returns the names in the form that [ParseLeads] reads.
func (l Leads) String() string {
	var entries []string
	for i, name := range l.all() {
		if *name != "" {
			entries = append(entries, leadKeys[i]+"="+*name)
		}
	}
	return strings.Join(entries, ",")
}

func (l *Leads) place(key string) *string {
	for i, name := range l.all() {
		if leadKeys[i] == key {
			return name
		}
	}
	return nil
}

// distinct refuses one name for two phase leads or two Hall leads: an answer in
// such names would not say which. A phase lead and a Hall lead may well have the
// same colour.
func (l *Leads) distinct() error {
	for _, group := range [][3]string{l.Phase, l.Hall} {
		for i, a := range group {
			for _, b := range group[:i] {
				if a != "" && a == b {
					return fmt.Errorf("two leads are named %q", a)
				}
			}
		}
	}
	return nil
}
