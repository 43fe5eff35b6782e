package capture

import (
	"math"
	"slices"
)

// Recording is a hand spin as it was recorded, column by column. Time, Hall and
// Edge have one entry for each row that could be read, and so has the Value slice
// of every column, in the order of time, edges first at equal times.
type Recording struct {
	// Name is the file's name, for messages only.
	Name string
	// Time is in seconds from the first row and never decreases; a counter
	// that wrapped is unwrapped.
	Time []float64
	// Start is the first row's time on the recording's own clock, in seconds.
	Start float64
	// Merged is set where channels of one instrument were joined by time:
	// that they were recorded at once is taken from their time columns.
	Merged bool
	// Hall holds the Hall levels from the row's time on.
	Hall []Levels
	// Index are the times, in seconds from the first row, at which the pulses of an
	// index column began, one a turn of the shaft.
	Index []float64
	// Edge marks the rows that are Hall edges stamped when they happened.
	// Other rows give the levels as of the sample, so that an edge lies
	// somewhere between two of them.
	Edge []bool
	// Swings are the levels of h1, h2 and h3 where these were recorded as
	// voltages.
	Swings [3]Swing
	// Columns are the phase columns, at most three, in the order p1 p2 p3 or
	// p12 p23 p31.
	Columns []Column
	// HallLag is how much later than the edge an edge row is stamped, in seconds.
	HallLag float64
	// VoltsPerUnit is the back-EMF in volts at the motor lead per unit of the
	// phase columns; 0 where it is not known.
	VoltsPerUnit float64
	// PolePairs is 0 where the recording does not say.
	PolePairs int
	// Leads are the user's own names of p1 p2 p3 and h1 h2 h3; empty where
	// none was given.
	Leads Leads
	// Header holds the header lines in the order of the file, unknown keys
	// among them.
	Header []HeaderLine
	// BadRows counts rows that were damaged and left out. Damage describes
	// the first of them, at most MaxDamage.
	BadRows int
	Damage  []*SyntaxError
	// LostSets and LostEdges are what the board says it could not send.
	LostSets, LostEdges int
	// Notes are the assumptions that the reader made, one sentence each.
	Notes []string
}

// ByOrder begins the note that columns were taken for leads by their order.
const ByOrder = "by their order the columns are taken"

// MaxDamage is how many damaged rows a [Recording] describes one by one.
const MaxDamage = 20

// Leads are names of the motor's leads.
type Leads struct {
	Phase, Hall [3]string
}

// Swing is what a Hall line's voltage does: two levels, the same where it has but
// one.
type Swing struct {
	// Known is false where the line was not recorded as a voltage.
	Known     bool
	Low, High float64
	// Volts is set where the levels are in volts, and not in a unit that the file
	// does not tell.
	Volts bool
}

// Width returns the distance of the levels.
func (s Swing) Width() float64 { return s.High - s.Low }

// HeaderLine is one "key: value" line of a recording.
type HeaderLine struct {
	Key, Value string
}

// Column is one phase column.
type Column struct {
	Signal Signal
	// Source is the column's own name in the file.
	Source string
	// Value holds one entry for each row, in the column's own unit; NaN
	// where the row has none.
	Value []float64
	// Skew is how much later than the row's time the column was sampled, in
	// seconds; negative where earlier.
	Skew float64
}

// Signal says what a phase column measures.
type Signal uint8

// The phase signals: a lead against a common reference, or the difference of
// two leads, P12 = P1 - P2.
const (
	P1 Signal = iota
	P2
	P3
	P12
	P23
	P31
)

var signalNames = [...]string{"p1", "p2", "p3", "p12", "p23", "p31"}

// String returns the signal's name in the recording format.
func (s Signal) String() string { return signalNames[s] }

// Difference reports whether the signal is the difference of two leads.
func (s Signal) Difference() bool { return s >= P12 }

// Rows returns the number of rows that could be read.
func (r *Recording) Rows() int { return len(r.Time) }

// Seconds returns the time from the first row to the last.
func (r *Recording) Seconds() float64 {
	if len(r.Time) == 0 {
		return 0
	}
	return r.Time[len(r.Time)-1] - r.Time[0]
}

// Repeats reports whether the recording has the rows of another one, to the last
// digit, as a copy of its file has: noise makes any two recordings differ.
func (r *Recording) Repeats(other *Recording) bool {
	same := func(a, b Column) bool {
		return a.Signal == b.Signal && slices.EqualFunc(a.Value, b.Value, func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) })
	}
	return slices.Equal(r.Time, other.Time) && slices.Equal(r.Hall, other.Hall) && slices.EqualFunc(r.Columns, other.Columns, same)
}

// Missing is the value of a phase cell that the recording does not have.
var Missing = math.NaN()
