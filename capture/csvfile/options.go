package csvfile

import (
	"fmt"
	"math"
)

// Options are what the person says about a file.
type Options struct {
	// Columns says which column is which, as in 't=Time:ms,h1=D0,p1=3'. A key
	// is t, hall, hall_code, h1 to h3, index (a pulse each turn of the shaft), p1 to
	// p3, p12, p23 or p31; a column is
	// its name, in upper or lower case, or its number from 1; a unit is s, ms,
	// us or ns for t, V or mV for phases. A column of words with a bit for each
	// line is taken apart by h1=NAME.BIT, the lowest bit 0; for a word or a
	// hall_code the base of its digits stands in the unit's place: hex, dec, oct
	// or bin. Columns that are not named are not used. Empty means that the file has the recording format's names.
	Columns string
	// SampleRate is the rate of the rows in hertz, for files without a time
	// column; 0 means that there is one. If both are there, the rate counts.
	SampleRate float64
	// Passed, where it is set, is called now and then while a long text is read,
	// with how many bytes of it have been.
	Passed func(bytes int)
}

// OptionError is a flag that does not fit the file or makes no sense.
type OptionError struct {
	// Flag is the command's flag, such as --columns.
	Flag string
	Msg  string
	// Hint says what would do.
	Hint string
}

// Error returns the flag and what was wrong with it; the hint is apart.
func (e *OptionError) Error() string { return e.Flag + ": " + e.Msg }

func (o Options) check() error {
	if o.SampleRate < 0 || math.IsNaN(o.SampleRate) || math.IsInf(o.SampleRate, 0) {
		return &OptionError{"--sample-rate", fmt.Sprintf("%g is not a rate", o.SampleRate), "give the rows per second, such as --sample-rate 3200"}
	}
	return nil
}
