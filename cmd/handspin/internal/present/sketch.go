package present

import (
	"math"
	"strings"

	"handspin/commutation"
	"handspin/commutation/spin"
)

// Screen is what a terminal takes beside plain text.
type Screen struct {
	// Color allows the SGR codes of ECMA-48, Blocks a sketch in block characters.
	Color, Blocks bool
}

// bold and the three colours of leads and verdicts, as SGR codes (ECMA-48, 8.3.117).
const bold = "1"

var sketchColors = [3]string{"34", "33", "32"} // blue, yellow, green

var verdictColors = map[commutation.Verdict]string{
	commutation.Ranked: "32", commutation.RepairFirst: "31", commutation.MoreData: "33",
}

// paint returns text in a colour, where the screen has colours.
func (s Screen) paint(code, text string) string {
	if !s.Color {
		return text
	}
	body := strings.TrimSuffix(text, "\n")
	return "\x1b[" + code + "m" + body + "\x1b[0m" + text[len(body):]
}

// sketchWidth is how many columns the turn has: 6 degrees each.
const sketchWidth = 60

// sketch adds a small picture of back-EMF and Hall levels over one electrical turn,
// where the screen takes it.
func (p *page) sketch(a *Answer) {
	if !a.Screen.Blocks {
		return
	}
	t := a.Spin.Traces()
	if len(t.Runs) == 0 {
		return
	}
	p.gap()
	p.para("One electrical turn: back-EMF from lowest to highest, Hall levels")
	for i, w := range t.Waves {
		p.lane(a, i, a.both(w.Signal.String()), waveLane(w))
	}
	for i := range t.Levels {
		p.lane(a, i, a.both(hallKey(i)), levelLane(t.Levels[i]))
	}
	p.b.WriteString(strings.Repeat(" ", laneName+2) + "0         60        120       180       240       300     360°\n")
}

// laneName is how wide the names of lanes are.
const laneName = 14

func (p *page) lane(a *Answer, i int, name, blocks string) {
	for widest(name) > laneName {
		name = strings.TrimSuffix(name, "…")
		name = string([]rune(name)[:len([]rune(name))-1]) + "…"
	}
	p.b.WriteString("  " + name + strings.Repeat(" ", laneName-widest(name)) + a.Screen.paint(sketchColors[i], strings.TrimRight(blocks, " ")) + "\n")
}

// eighths are blocks of growing height.
var eighths = []rune("▁▂▃▄▅▆▇█")

// waveLane draws a wave's measured points.
func waveLane(w spin.WaveTrace) string {
	var sum, count [sketchWidth]float64
	for _, at := range w.Points {
		k := int(at.Deg / 360 * sketchWidth)
		sum[k], count[k] = sum[k]+at.Value, count[k]+1
	}
	most := 0.0
	for k := range sum {
		sum[k] /= count[k] // NaN where there is no point
		if !math.IsNaN(sum[k]) {
			most = max(most, math.Abs(sum[k]))
		}
	}
	return blocks(func(k int) (float64, bool) { return 0.5 + sum[k]/most/2, count[k] > 0 && most > 0 })
}

// levelLane draws a Hall level, by where it is high for the most part.
func levelLane(levels [360]float64) string {
	return blocks(func(k int) (float64, bool) {
		share := levels[k*360/sketchWidth+180/sketchWidth]
		return math.Round(share), !math.IsNaN(share)
	})
}

// blocks draws heights from 0 to 1, a blank where there is none.
func blocks(height func(k int) (h float64, known bool)) string {
	out := make([]rune, sketchWidth)
	for k := range out {
		out[k] = ' '
		if h, known := height(k); known {
			out[k] = eighths[min(int(h*float64(len(eighths))), len(eighths)-1)]
		}
	}
	return string(out)
}
