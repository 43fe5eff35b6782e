package main

import (
	"testing"
)

// FuzzRank: whatever the recording, rank ends with a known status, without a
// panic and with something to read.
func FuzzRank(f *testing.F) {
	f.Add(spinText)
	f.Add("# leads: p1=a\nhigh,low,hall\np1,p2,1x0\np2+p3,p1,011\n")
	f.Add("# leads: p1=\u202e\nt_s;h1;h2;h3;p12;p23\n0,1;1;0;1;2;3\n0,2;1;0;0;2;4\n")
	f.Add("t_us,hall_code,p1,p2,p3\n4294967295,5,1,nan,3\n100,4,1e300,-1e300,3\n400,6,,,\n")
	if short := handspin("", "simulate", "--turns", "2", "--rate", "400"); short.status == done {
		f.Add(short.stdout)
	} else {
		f.Fatal(short.stderr)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, format := range []string{"text", "json"} {
			got := handspin(text, "rank", "-", "--all", "--format", format)
			if got.status != done && got.status != failed || got.stdout+got.stderr == "" {
				t.Errorf("status %d, %d bytes out, %q", got.status, len(got.stdout), got.stderr)
			}
			if (got.status == done) == (got.stdout == "") {
				t.Errorf("status %d with %d bytes out", got.status, len(got.stdout))
			}
		}
	})
}
