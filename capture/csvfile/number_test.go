package csvfile

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// sameBits also tells 0 from -0.
func sameBits(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) }

func TestNumberEqualsParseFloat(t *testing.T) {
	form := rapid.OneOf(
		rapid.StringMatching(`[-+]?[0-9]{1,5}(\.[0-9]{0,4})?`),
		rapid.StringMatching(`[-+]?[0-9]{0,22}\.?[0-9]{1,22}([eE][-+]?[0-9]{1,3})?`),
		rapid.Map(rapid.Float64(), func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }),
		rapid.Map(rapid.Float64(), func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }),
		rapid.Map(rapid.Int64(), func(v int64) string { return strconv.FormatInt(v, 10) }),
	)
	rapid.Check(t, func(t *rapid.T) {
		s := form.Draw(t, "number")
		want, err := strconv.ParseFloat(s, 64)
		if err != nil && !math.IsInf(want, 0) {
			t.Fatalf("the test's own number %q: %v", s, err)
		}
		if math.IsInf(want, 0) && err == nil || math.IsNaN(want) {
			return // words, not numbers
		}
		for _, mark := range []string{".", ","} {
			in := strings.Replace(s, ".", mark, 1)
			got, gotMark, ok := parseNumber([]byte(in))
			if !ok || !sameBits(got, want) {
				t.Fatalf("%q is %v, %v; want %v", in, got, ok, want)
			}
			if (gotMark != 0) != strings.Contains(s, ".") || gotMark != 0 && string(gotMark) != mark {
				t.Fatalf("%q has the mark %q", in, gotMark)
			}
		}
	})
}

// Whatever is taken for a number, strconv takes for the same one.
func TestNothingElseIsANumber(t *testing.T) {
	form := rapid.StringOf(rapid.SampledFrom([]rune("0123456789.,-+eExX_infa ")))
	rapid.Check(t, func(t *rapid.T) {
		s := form.Draw(t, "text")
		got, mark, ok := parseNumber([]byte(s))
		want, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
		if ok && (err != nil && !math.IsInf(want, 0) || !sameBits(got, want)) {
			t.Fatalf("%q is taken for %v (mark %q), strconv says %v, %v", s, got, mark, want, err)
		}
	})
}

func TestNumberRefuses(t *testing.T) {
	for _, s := range []string{"", "-", ".", ",", "1.2.3", "1,234.5", "1.234,5", "1e", "1e+", "e5", "0x10", "1_000", "inf", "nan", "5 1", "5a", "--1"} {
		if v, _, ok := parseNumber([]byte(s)); ok {
			t.Errorf("%q is taken for %v", s, v)
		}
	}
}

func TestMissing(t *testing.T) {
	for s, want := range map[string]bool{"NaN": true, "-nan": true, "+Inf": true, "-Infinity": true, "∞": true,
		"1.#INF": true, "-1.#IND": true, "1": false, "nano": false, "": false, "-": false} {
		if missing([]byte(s)) != want {
			t.Errorf("%q: %v", s, !want)
		}
	}
}
