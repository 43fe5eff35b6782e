package csvfile

// units are the spellings of units that are understood, in lower case.
var units = spellings()

// The words for the two units, and for their prefixes: each in front of any word.
// The last one of the micro signs is that of Latin-1 files. Nobody samples at
// megaseconds or megavolts, so that M stands for milli as well.
var (
	timeWords    = []string{"s", "sec", "secs", "second", "seconds", "sek", "sekunde", "sekunden"}
	voltWords    = []string{"v", "volt", "volts", "vdc", "v dc"}
	unitPrefixes = []struct {
		words     []string
		name      string
		perSecond float64
		volts     float64
	}{
		{[]string{""}, "", 1, 1},
		{[]string{"m", "milli"}, "m", 1e3, 1e-3},
		{[]string{"u", "µ", "μ", "\xb5", "micro", "mikro"}, "u", 1e6, 1e-6},
		{[]string{"n", "nano"}, "n", 1e9, 1e-9},
		{[]string{"p", "pico"}, "p", 1e12, 1e-12},
		{[]string{"k", "kilo"}, "k", 0, 1e3},
	}
)

func spellings() map[string]unit {
	out := map[string]unit{}
	for _, p := range unitPrefixes {
		for _, prefix := range p.words {
			for _, word := range timeWords {
				if p.perSecond > 0 {
					out[prefix+word] = unit{name: p.name + "s", time: true, size: p.perSecond}
				}
			}
			for _, word := range voltWords {
				out[prefix+word] = unit{name: p.name + "V", size: p.volts}
			}
		}
	}
	return out
}
