package csvfile

import "testing"

// What a name says follows from the order of the letters: from U to V is p1 to p2,
// from U to W the reverse of p3 to p1.
func TestNamesOfDifferences(t *testing.T) {
	for name, want := range map[string]string{
		"u-v": "p12", "v-w": "p23", "w-u": "p31", "v-u": "-p12", "u-w": "-p31",
		"uv": "p12", "vw": "p23", "vab": "p12", "v_ca": "p31", "uvw": "p23", "phase a-b": "p12",
		"phase u - phase v": "p12", "v12": "p12", "u31": "p31", "p1-p2": "p12", "l3-l2": "-p23", "ch1-ch2": "p12",
		"uu": "", "va": "", "ch12": "", "d12": "", "u-b": "", "vcc": "", "temp": "", "": "",
	} {
		f, reversed, _ := differenceOf(name)
		got := f.String()
		if reversed {
			got = "-" + got
		}
		if got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}

func TestNamesOfLeads(t *testing.T) {
	for name, want := range map[string]field{
		"u": fieldP1, "w": fieldP3, "phase b": fieldP2, "uc": fieldP3, "bemf_a": fieldP1, "t": fieldP3,
		"temp": unused, "d": unused, "ha": unused, "uv-": unused,
	} {
		if got, _, _ := letterOf(name); got != want {
			t.Errorf("%q: %v, want %v", name, got, want)
		}
	}
}
