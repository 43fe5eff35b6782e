package present

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"handspin/commutation/rotor"
	"handspin/commutation/spin"
)

// Rotor is what a recording says about the magnets.
type Rotor struct {
	// Untested says why nothing is known of single magnets; empty where it is.
	Untested string
	// Untold says why single magnets are not told although the turn was seen; empty
	// where they are.
	Untold string
	// PolePairs is how many were taken, 0 where nothing says.
	PolePairs int
	// Found is true where the number of pole pairs was found from what repeats, and
	// Certain where it cannot be a multiple of that.
	Found, Certain bool
	// Other is what repeats, or the index pulses, say where that is another number
	// of pole pairs than the one given; 0 where not.
	Other int
	// Perhaps is the same where it is not certain.
	Perhaps int
	Shaft   *spin.Shaft
	// Waves are each lead's half waves.
	Waves [3][]rotor.HalfWave
	// Pattern is nil where the winding is not known, or where Blind says that it
	// does not show single magnets.
	Pattern *rotor.Pattern
	Blind   bool
}

// SetRotor adds what the recording says about the rotor.
func (n *Inspection) SetRotor(r *Rotor) {
	n.Rotor = r
	n.suspectMagnets()
	n.add(r.findings())
}

// The deviations of half waves that are worth a word, where they are also five of
// their standard deviations: more than usual magnets make, whose mean over its coils a
// lead shows.
const (
	unevenWorth = 0.03
	sureBy      = 5.0
)

// worst returns the lead and the number of the half wave that deviates most, and
// whether that is worth a word.
func (r *Rotor) worst() (lead, pole int, uneven bool) {
	most := 0.0
	for i, waves := range r.Waves {
		for k, h := range waves {
			if off := math.Abs(h.Strength - 1); off > most && off > sureBy*h.StrengthSD {
				most, lead, pole = off, i, k
			}
		}
	}
	return lead, pole, most > unevenWorth
}

// even reports whether the magnets were looked at and are as even as usual.
func (r *Rotor) even() bool {
	switch {
	case r == nil || r.Untested != "" || r.Untold != "" || r.Blind || len(r.findings()) > 0:
		return false
	case r.Pattern != nil:
		return r.Pattern.Even()
	}
	_, _, uneven := r.worst()
	return !uneven
}

// mostRows is how many rows a table of magnets has.
const mostRows = 14

// rotorBlocks are what is said about the magnets; none where they were not looked at.
func (n *Inspection) rotorBlocks() []block {
	r := n.Rotor
	if r == nil || r.Untested != "" {
		return nil
	}
	out := []block{{title: r.title()}}
	switch {
	case r.Blind:
		out = append(out, block{text: "In this winding each phase sees all magnets at once: a bad one lowers the back-EMF and leaves no pattern in it, so the magnets are judged by the sensors' edges."})
	case r.Untold != "":
		out = append(out, block{text: "Magnets are not told one by one: " + r.Untold + "."})
		if r.Other == 0 { // else they are those of another turn
			out = append(out, n.halfWaves()...)
		}
	case r.Pattern != nil:
		out = append(out, n.magnetBlock())
	default:
		out = append(out, n.halfWaves()...)
	}
	return append(out, n.poleWidths()...)
}

func (r *Rotor) title() string {
	how := ""
	switch {
	case r.Found && r.Shaft.Indexed():
		how = ", by the index pulses,"
	case r.Found && r.Certain:
		how = ", found from what repeats with every turn,"
	case r.Found:
		how = " (perhaps, or a multiple of that), found from what repeats with every turn,"
	}
	return fmt.Sprintf("Rotor: %d pole pairs%s seen over %.1f turns of the shaft", r.Shaft.PolePairs, how, r.Shaft.Turns)
}

// magnetBlock is the table of magnets.
func (n *Inspection) magnetBlock() block {
	found := n.Rotor.Pattern
	all := found.Poles
	if len(all) > mostRows {
		all = slices.Clone(all)
		slices.SortStableFunc(all, func(a, b rotor.PoleSeen) int {
			if math.Abs(a.Strength-1) > math.Abs(b.Strength-1) {
				return -1
			}
			return 1
		})
		all = all[:mostRows]
	}
	var rows [][]string
	for _, m := range all {
		rows = append(rows, []string{numbers(m.Numbers, "+"), value(100*m.Strength, 100*m.StrengthSD, 1) + " %", late(m.ShiftDeg, m.ShiftSD)})
	}
	words := "Magnet 1 is " + n.Rotor.firstMagnet() + "; the others follow in the order in which they passed."
	if found.Sensors > 0 {
		words += " Their places are by the back-EMF and by the sensors' edges together."
	}
	if len(found.Poles[0].Numbers) > 1 {
		words += " The winding sees those on one row alike: the number is their mean."
	}
	switch {
	case n.Winding != nil && n.Winding.Found.Faulty():
		words += " This takes the winding's fault for what is said above: repair it, and look at the magnets again."
	case slices.ContainsFunc(found.Causes, func(c rotor.Cause) bool { return len(c.Or) > 0 }):
		words += " The numbers are those of the first of the causes that the findings name."
	case len(found.Causes) == 0 && !found.Even():
		words += " They are less even than usual, and no single magnet explains it."
	}
	if len(found.Poles) > mostRows {
		words += fmt.Sprintf(" The others are between %.1f and %.1f %%.", 100-100*math.Abs(all[mostRows-1].Strength-1), 100+100*math.Abs(all[mostRows-1].Strength-1))
	}
	return block{header: []string{"magnet", "strength", "late by, electrical degrees"}, rows: rows, text: words}
}

func late(deg, sd float64) string {
	if math.IsNaN(deg) {
		return "?"
	}
	return signed(deg) + " ±" + fixed(math.Max(sd, 0.1), 1)
}

// numbers lists magnets, from 1.
func numbers(all []int, between string) string {
	var out []string
	for _, i := range all {
		out = append(out, fmt.Sprint(i+1))
	}
	return strings.Join(out, between)
}

// halfWaves are what the leads show pole by pole, or that they show nothing.
func (n *Inspection) halfWaves() []block {
	r := n.Rotor
	low, high, count := math.Inf(1), math.Inf(-1), 0
	for _, waves := range r.Waves {
		for _, h := range waves {
			low, high, count = min(low, h.Strength), max(high, h.Strength), len(waves)
		}
	}
	if count == 0 {
		return nil
	}
	if _, _, uneven := r.worst(); !uneven {
		return []block{{text: fmt.Sprintf("The half waves of the leads are even: from %.1f to %.1f %% of their mean over the turn.", 100*low, 100*high)}}
	}
	first := block{text: fmt.Sprintf("The %d half waves of a turn bring from %.1f to %.1f %% of their mean; --format json lists them.", count, 100*low, 100*high)}
	if count <= mostRows {
		first = n.waveTable(count)
	}
	if r.Untold != "" {
		return []block{first}
	}
	return []block{first, {text: "A lead shows the mean of the magnets over its coils: with --slots N the magnets themselves are found, where the winding allows it."}}
}

func (n *Inspection) waveTable(count int) block {
	header, rows := []string{"half wave"}, make([][]string, count)
	for k := range rows {
		rows[k] = []string{fmt.Sprint(k + 1)}
	}
	for lead, waves := range n.Rotor.Waves {
		if waves == nil {
			continue
		}
		header = append(header, n.both(phaseKey(lead)), "wide")
		for k, h := range waves {
			rows[k] = append(rows[k], value(100*h.Strength, 100*h.StrengthSD, 1)+" %", fmt.Sprintf("%.1f", h.WidthDeg))
		}
	}
	return block{header: header, rows: rows}
}

// poleWidths says how wide the poles are as the sensors see them.
func (n *Inspection) poleWidths() (out []block) {
	var parts []string
	for i, b := range n.Rotor.Shaft.Borders {
		low, high := math.Inf(1), math.Inf(-1)
		for k := range b.OffDeg {
			if w := poleWidth(b, n.Spin.Sensors[i], k); !math.IsNaN(w) {
				low, high = min(low, w), max(high, w)
			}
		}
		if low <= high {
			parts = append(parts, fmt.Sprintf("%s %.1f to %.1f", n.both(hallKey(i)), low, high))
		}
	}
	if gaps := n.Rotor.gaps(); gaps > 0 {
		out = append(out, block{text: fmt.Sprintf("Each sensor misses the same %d of %d edges in every turn: there neighbouring magnets show the same pole.", gaps, 2*n.Rotor.Shaft.PolePairs)})
	}
	if len(parts) > 0 {
		out = append(out, block{text: "Widths of the poles as the sensors see them, in electrical degrees: " + strings.Join(parts, ", ") + "."})
	}
	return out
}

// poleWidth is how wide the pole after border k is, in electrical degrees, NaN where one
// of its borders was not seen.
func poleWidth(b spin.Borders, s spin.Sensor, k int) float64 {
	wide := 360 * s.Duty
	if k%2 == 1 {
		wide = 360 - wide
	}
	return wide + b.OffDeg[(k+1)%len(b.OffDeg)].Value - b.OffDeg[k].Value
}
