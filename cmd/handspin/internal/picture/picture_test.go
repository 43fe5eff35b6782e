package picture

import (
	"encoding/xml"
	"errors"
	"image/color"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"handspin/capture/synth"
	"handspin/commutation"
	"handspin/commutation/rotor"
	"handspin/commutation/spin"
)

// shape is an element of a drawing that the tests look at.
type shape struct{ name, path, style, text string }

// shapes reads a drawing as XML, and refuses what no drawing should have.
func shapes(t *testing.T, p Picture) (all []shape) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(p.SVG))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatalf("%s: %v", p.Title, err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			s := shape{name: token.Name.Local}
			for _, a := range token.Attr {
				switch a.Name.Local {
				case "d":
					s.path = a.Value
				case "style":
					s.style = a.Value
				}
			}
			all = append(all, s)
		case xml.CharData:
			if len(all) > 0 {
				all[len(all)-1].text += strings.TrimSpace(string(token))
			}
		}
	}
}

// drawn returns the pictures of a result.
func drawn(r *spin.Result, n Names) (all []Picture) {
	t := r.Traces()
	add := func(p Picture, ok bool) {
		if ok {
			all = append(all, p)
		}
	}
	add(Waves(r, t, n))
	add(Speed(t, 0))
	add(Speed(t, 7))
	add(Dial(r, n))
	if r.Usable {
		list := commutation.Rank(r.Motor, nil, commutation.Typical())
		add(Torque(r.Motor, list.Table, []commutation.Judged{list.Wirings[0], list.Wirings[10], list.Wirings[30]}))
	}
	return all
}

// Whatever was recorded, the drawings are well-formed, have no number that is
// none, name themselves, take the page's ink, and hold every name as text.
func TestDrawingsAreSound(t *testing.T) {
	names := Names{[3]string{"<b>bold", `a"b'c`, "]]>&amp;"}, [3]string{"</svg><script>", "日本語🔧", strings.Repeat("long ", 30)}}
	for kind := range synth.Kinds {
		rec, _ := synth.Random(kind, 11).Record()
		all := drawn(spin.Analyse(rec, spin.Options{}), names)
		if len(all) < 4 {
			t.Errorf("%v: %d pictures", kind, len(all))
		}
		for _, p := range all {
			if p.Title == "" || p.Words == "" || !strings.HasPrefix(p.SVG, `<svg class="picture" viewBox="0 0 360 `) || !strings.Contains(p.SVG, `role="img" aria-label="`) {
				t.Errorf("%v: %q begins as %.120s", kind, p.Title, p.SVG)
			}
			for _, s := range shapes(t, p) {
				if strings.Contains(s.path, "NaN") || strings.Contains(s.path, "Inf") || strings.Contains(s.style, "#000000") {
					t.Errorf("%v: %s has %.80s %s", kind, p.Title, s.path, s.style)
				}
				if s.name == "text" && !strings.Contains(s.style, "font-size:12px") {
					t.Errorf("%v: %s writes %q as %s", kind, p.Title, s.text, s.style)
				}
			}
		}
	}
}

// What nothing is known of is not drawn.
func TestNothingToDraw(t *testing.T) {
	if all := drawn(new(spin.Result), Names{}); len(all) != 0 {
		t.Errorf("%d pictures", len(all))
	}
	if _, ok := Torque(commutation.Motor{}, commutation.Typical(), []commutation.Judged{{}}); ok {
		t.Error("the torque of no motor is drawn")
	}
}

// texts returns the words in a drawing.
func texts(t *testing.T, p Picture) string {
	var all []string
	for _, s := range shapes(t, p) {
		if s.name == "text" {
			all = append(all, s.text)
		}
	}
	return strings.Join(all, "|")
}

func TestLabels(t *testing.T) {
	rec, _ := synth.Random(synth.Ordinary, 3).Record()
	r := spin.Analyse(rec, spin.Options{})
	tr := r.Traces()
	waves, _ := Waves(r, tr, Names{Phase: [3]string{"yellow", "", "<i>"}})
	speed, _ := Speed(tr, 0)
	shaft, _ := Speed(tr, 10)
	for want, p := range map[string]Picture{
		"back-EMF / speed, mV s": waves, "electrical angle, degrees": waves, "p1 yellow|p2|p3 <i>": waves,
		"speed, electrical turns / s": speed, "time, s": speed, "speed, rpm of the shaft": shaft,
	} {
		if got := texts(t, p); !strings.Contains(got, want) {
			t.Errorf("%s: no %q in %q", p.Title, want, got)
		}
	}
}

// points reads the numbers of a path of straight lines.
func points(t *testing.T, path string) (x, y []float64) {
	t.Helper()
	for _, pair := range strings.FieldsFunc(path, func(r rune) bool { return r == 'M' || r == 'L' }) {
		a, b, ok := strings.Cut(pair, ",")
		px, err1 := strconv.ParseFloat(a, 64)
		py, err2 := strconv.ParseFloat(b, 64)
		if !ok || err1 != nil || err2 != nil {
			t.Fatalf("%q in %.60s", pair, path)
		}
		x, y = append(x, px), append(y, py)
	}
	return x, y
}

// An aligned six-step drive of a sinusoidal motor has its least torque at the
// edges, at pi/(2 sqrt(3)) = 0.9069 of the mean and its most in the middle between
// them, at pi/3 = 1.0472 of it (closed form: the line voltage's top 60 degrees).
// Both are read back from the drawn line; its coordinates have five digits.
func TestTorqueIsDrawnToScale(t *testing.T) {
	m := commutation.Motor{}
	for i := range 3 {
		lag := 120 * float64(i) * math.Pi / 180
		m.EMF[i] = commutation.Wave{{N: 1, Sin: math.Cos(lag), Cos: -math.Sin(lag)}}
		m.Sensors[i] = commutation.Sensor{RiseDeg: 30 + 120*float64(i), FallDeg: commutation.Wrap(210 + 120*float64(i))}
	}
	list := commutation.Rank(m, nil, commutation.Typical())
	p, ok := Torque(m, list.Table, list.Wirings[:1])
	if !ok {
		t.Fatal("no picture")
	}
	var line, zero string
	for _, s := range shapes(t, p) {
		switch {
		case s.name == "path" && strings.Count(s.path, "L") >= 720:
			line = s.path
		case s.name == "path" && strings.Contains(s.style, "#909090"):
			zero = s.path
		}
	}
	x, y := points(t, line)
	_, at := points(t, zero)
	low, high := math.Inf(1), math.Inf(-1)
	for i := range y {
		low, high = min(low, y[i]-at[0]), max(high, y[i]-at[0])
	}
	if got, want := low/high, 0.8660; math.Abs(got-want) > 0.001 {
		t.Errorf("the least is %.4f of the most, want %.4f", got, want)
	}
	// The maxima are 60 degrees apart, the first at angle 0 (30 less 30).
	if top := y[0] - at[0]; math.Abs(top-high) > 0.01 {
		t.Errorf("at angle 0 the line is at %.3f, its top at %.3f", top, high)
	}
	if k := 60; math.Abs(y[k]-at[0]-low) > 0.5 || math.Abs((x[k]-x[0])/(x[720]-x[0])-1./12) > 0.001 {
		t.Errorf("at 30 degrees the line is %.3f high, its bottom %.3f", y[k]-at[0], low)
	}
}

// luminance and contrast are as WCAG 2.2 defines them.
func luminance(c color.NRGBA) float64 {
	part := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return 0.2126*part(c.R) + 0.7152*part(c.G) + 0.0722*part(c.B)
}

func contrast(a, b color.NRGBA) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// Lines stand out by 3 to 1 (WCAG 2.2, 1.4.11) on white paper and on the page's
// dark ground, and the palette is that of Okabe and Ito as published in RGB:
// blue 0 114 178, vermillion 213 94 0, bluish green 0 158 115.
func TestPalette(t *testing.T) {
	want := [3]color.NRGBA{{0, 114, 178, 255}, {213, 94, 0, 255}, {0, 158, 115, 255}}
	if palette != want {
		t.Errorf("%v", palette)
	}
	for _, c := range append(palette[:], rule) {
		for _, ground := range []color.NRGBA{{255, 255, 255, 255}, {0x15, 0x18, 0x1c, 255}} {
			if got := contrast(c, ground); got < 3 {
				t.Errorf("%v on %v has a contrast of %.2f", c, ground, got)
			}
		}
	}
}

// Marks are round numbers within the axis, 3 to 9 of them.
func TestMarks(t *testing.T) {
	for _, span := range [][2]float64{{0, 6}, {-115, 115}, {-0.3, 36}, {0, 0.0042}, {-2000, 17}, {0, 359.7}} {
		marks := round{8}.Ticks(span[0], span[1])
		if len(marks) < 3 || len(marks) > 9 {
			t.Errorf("%v has %d marks", span, len(marks))
		}
		for _, m := range marks {
			if m.Value < span[0] || m.Value > span[1] || len(m.Label) > 7 {
				t.Errorf("%v has the mark %v %q", span, m.Value, m.Label)
			}
		}
	}
}

// Half waves are drawn from angle 0 of the shaft on, wherever the list begins, and the
// weak one is the only one drawn lower.
func TestPoles(t *testing.T) {
	var waves [3][]rotor.HalfWave
	for k := range 14 {
		h := rotor.HalfWave{PlaceDeg: 340 + 360*float64(k)/14, Strength: 1, StrengthSD: 0.001}
		if k == 5 {
			h.Strength = 0.8
		}
		waves[0] = append(waves[0], h)
	}
	p, ok := Poles(waves, nil, Names{})
	if !ok {
		t.Fatal("no picture")
	}
	var line string
	for _, s := range shapes(t, p) {
		if s.name == "path" && strings.Count(s.path, "L") == 13 {
			line = s.path
		}
	}
	x, y := points(t, line)
	drop := 0
	for k := range x {
		if k > 0 && x[k] <= x[k-1] {
			t.Errorf("point %d is left of the one before", k)
		}
		if y[k] < y[0]-1 {
			drop++
		}
	}
	if drop != 1 || len(x) != 14 {
		t.Errorf("%d of %d points are low", drop, len(x))
	}
	pattern := &rotor.Pattern{Poles: []rotor.PoleSeen{{Numbers: []int{0, 2}, Strength: 0.9}, {Numbers: []int{1, 3}, Strength: 1.1}}}
	p, ok = Poles(waves, pattern, Names{})
	if !ok || !strings.Contains(texts(t, p), "magnet") || !strings.Contains(p.Words, "90.0 and 110.0 %") {
		t.Errorf("%v %s %s", ok, p.Words, texts(t, p))
	}
	if _, ok := Poles([3][]rotor.HalfWave{}, nil, Names{}); ok {
		t.Error("no half waves are drawn")
	}
}
