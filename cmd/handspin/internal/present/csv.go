package present

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
)

// CSV prints the list as CSV (RFC 4180 but for the line ends); without all, the
// clean wirings. Each row carries the verdict, so that a row by itself does not
// pass for proven.
func CSV(w io.Writer, a *Answer, all bool) error {
	out := csv.NewWriter(w)
	out.Write([]string{"verdict", "rank", "U", "V", "W", "HU", "HV", "HW", "behaviour", "torque", "torque_min", "confidence"})
	for _, j := range a.wirings(all) {
		e := a.ends(j.Wiring)
		row := append([]string{string(a.Verdict), fmt.Sprint(j.Rank)}, e[:]...)
		out.Write(append(row, string(j.Behaviour), decimals(j.Torque, 4), decimals(j.TorqueMin, 4), decimals(sure(j.Confidence), 4)))
	}
	out.Flush()
	return out.Error()
}

func decimals(x float64, digits int) string { return strconv.FormatFloat(x, 'f', digits, 64) }
