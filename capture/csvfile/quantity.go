package csvfile

import (
	"strings"
)

// prefixes are the SI prefixes of the units in a preamble, in lower case.
var prefixes = map[string]float64{"": 1, "p": 1e-12, "n": 1e-9, "u": 1e-6, "µ": 1e-6, "μ": 1e-6, "\xb5": 1e-6, "m": 1e-3}

// seconds reads a time such as "5.00uS"; without a unit it is in seconds.
func seconds(text string) (float64, bool) {
	v, unitName, ok := number(text)
	prefix, isTime := strings.CutSuffix(lower(unitName), "s")
	size, known := prefixes[prefix]
	return v * size, ok && known && (isTime || unitName == "")
}

// rates are the prefixes of a rate: nobody samples at millihertz.
var rates = map[string]float64{"": 1, "k": 1e3, "m": 1e6, "g": 1e9}

// hertz reads a rate such as "250 MHz" or "1MSa/s"; without a unit it is in hertz.
func hertz(text string) (float64, bool) {
	v, unitName, ok := number(text)
	unitName = lower(unitName)
	for _, ending := range []string{"hz", "sa/s", "s/s"} {
		unitName = strings.TrimSuffix(unitName, ending)
	}
	size, known := rates[unitName]
	return v * size, ok && known
}

// longestSetting is how many bytes a number with its unit may have.
const longestSetting = 64

// number parts a text into the number that it begins with, or that follows a
// colon, and the unit behind that.
func number(text string) (v float64, unitName string, ok bool) {
	text = strings.TrimSpace(text[strings.LastIndexByte(text, ':')+1:])
	if len(text) > longestSetting {
		return 0, "", false
	}
	end := len(text)
	for end > 0 && !ok {
		v, _, ok = parseNumber([]byte(text[:end]))
		if !ok {
			end--
		}
	}
	return v, strings.TrimSpace(text[end:]), ok
}
