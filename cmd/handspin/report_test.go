package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"handspin/capture/synth"
)

// evil are names that mean something in HTML.
const evil = `p1=<b>yellow</b>,p2="><script>document.title='taken'</script>,p3=blue & <i>,h1=</table>white,h2='grey',h3=<img src=x>`

// reported writes the report of a recording and returns its path.
func reported(t *testing.T, args ...string) string {
	t.Helper()
	page := filepath.Join(t.TempDir(), "page.html")
	if got := handspin("", append([]string{"report", "-o", page}, args...)...); got.status != done || got.stdout != "" {
		t.Fatalf("%d %s%s", got.status, got.stdout, got.stderr)
	}
	return page
}

// simulated writes a recording of a synthetic motor and returns its path.
func simulated(t *testing.T, args ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "spin.csv")
	if got := handspin("", append([]string{"simulate", "-o", path}, args...)...); got.status != done {
		t.Fatalf("%d %s", got.status, got.stderr)
	}
	return path
}

// firstWiring is what JSON says of the wiring to connect first: terminal by
// terminal, with the person's names.
func firstWiring(t *testing.T, args ...string) (wires [][]string) {
	t.Helper()
	var answer struct {
		Leads   map[string]string
		Wirings []map[string]any
	}
	got := handspin("", append([]string{"rank", "--format", "json"}, args...)...)
	if err := json.Unmarshal([]byte(got.stdout), &answer); err != nil {
		t.Fatal(err, got.stderr)
	}
	for _, terminal := range []string{"U", "V", "W", "HU", "HV", "HW"} {
		lead := answer.Wirings[0][terminal].(string)
		wires = append(wires, []string{terminal, answer.Leads[lead]})
	}
	return wires
}

// TestReportInABrowser looks at the page as a person's browser shows it: the
// drawing says what JSON says, names are text, nothing is asked for from elsewhere,
// pictures and headings have names, nothing hangs over the side, light and dark
// can be read, and on paper it is a few pages.
func TestReportInABrowser(t *testing.T) {
	browser, ok := browserReady(t)
	if !ok {
		return
	}
	args := []string{demoFile, "--leads", evil, "--pole-pairs", "23"}
	page := reported(t, args...)
	b := newTab(t, browser)
	b.open(page)
	drawn := ask[[][]string](b, `[...document.querySelectorAll(".harness tbody tr")].map(r =>
		[r.querySelector(".terminal").textContent.trim(), r.querySelector(".lead").textContent.trim()])`)
	if want := firstWiring(t, args[:3]...); !slices.EqualFunc(drawn, want, slices.Equal) {
		t.Errorf("the drawing says %q, JSON %q", drawn, want)
	}
	if n := ask[int](b, `document.querySelectorAll("script, b, i, img, iframe, link, [onload], [onerror]").length`); n != 0 {
		t.Errorf("%d elements came from names", n)
	}
	if title := ask[string](b, `document.title`); !strings.HasPrefix(title, "handspin: ") {
		t.Errorf("the title is %q", title)
	}
	checkHeadings(t, b)
	checkPictures(t, b, 5)
	for _, width := range []int64{360, 1200} {
		for _, taste := range []string{"light", "dark"} {
			b.look(width, taste)
			checkSight(t, b, width, taste)
		}
	}
	if requested, complaints := b.seen(); len(requested) != 1 || len(complaints) != 0 {
		t.Errorf("asked for %q; console %q", requested, complaints)
	}
	checkPaper(t, b)
}

// checkHeadings: one h1, and no level is left out.
func checkHeadings(t *testing.T, b *tab) {
	t.Helper()
	levels := ask[[]string](b, `[...document.querySelectorAll("h1, h2, h3, h4")].map(h => h.tagName + " " + h.textContent.trim())`)
	before := byte('0')
	for i, h := range levels {
		if h[1] > before+1 || len(h) < 5 || (h[1] == '1') != (i == 0) {
			t.Errorf("heading %q after level %c", h, before)
		}
		before = h[1]
	}
	sections := ask[[]string](b, `[...document.querySelectorAll("section")].map(s => s.id)`)
	want := []string{"answer", "health", "evidence", "equivalents", "traps", "untested", "power-up", "recording"}
	if !slices.Equal(sections, want) {
		t.Errorf("sections %q, want %q", sections, want)
	}
}

// checkPictures: each has a name and words, and letters of 9 pixels or more where
// the window is 360 wide.
func checkPictures(t *testing.T, b *tab, count int) {
	t.Helper()
	b.look(360, "light")
	names := ask[[]string](b, `[...document.querySelectorAll("svg[role=img]")].map(s => s.getAttribute("aria-label") + "|" + s.closest("figure").querySelector("figcaption").textContent.trim())`)
	for _, n := range names {
		if label, words, _ := strings.Cut(n, "|"); len(label) < 5 || len(words) < 20 {
			t.Errorf("a picture is called %q, with the words %q", label, words)
		}
	}
	if len(names) != count {
		t.Errorf("%d pictures, want %d", len(names), count)
	}
	const size = `parseFloat(getComputedStyle(t).fontSize) * Math.hypot(t.getScreenCTM().a, t.getScreenCTM().b)`
	least := ask[float64](b, `Math.min(...[...document.querySelectorAll("svg text")].map(t => `+size+`))`)
	if least < 9 {
		t.Errorf("the smallest letters of a picture are %.1f pixels high", least)
	}
	off := ask[int](b, `[...document.querySelectorAll("svg text")].filter(t => { const r = t.getBoundingClientRect(), s = t.closest("svg").getBoundingClientRect();
		return r.left < s.left - 1 || r.right > s.right + 1 || r.top < s.top - 1 || r.bottom > s.bottom + 1 }).length`)
	if off != 0 {
		t.Errorf("%d texts hang over the edge of their picture", off)
	}
}

// checkSight: nothing is wider than the window, and text stands out by 7 to 1 (WCAG
// 2.2, 1.4.6), in pictures too.
func checkSight(t *testing.T, b *tab, width int64, taste string) {
	t.Helper()
	if got := ask[int64](b, `document.documentElement.scrollWidth`); got > width {
		t.Errorf("%d pixels wide in a window of %d", got, width)
	}
	ratio := ask[float64](b, `(() => {
		const light = c => { const [r, g, b] = c.match(/[\d.]+/g).map(v => v / 255).map(v => v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
			return 0.2126 * r + 0.7152 * g + 0.0722 * b };
		const body = getComputedStyle(document.body), ground = light(body.backgroundColor);
		return Math.min(...[body.color, getComputedStyle(document.querySelector("svg text")).fill].map(c => {
			const ink = light(c); return (Math.max(ink, ground) + 0.05) / (Math.min(ink, ground) + 0.05) })) })()`)
	dark := ask[bool](b, `getComputedStyle(document.body).backgroundColor != "rgb(255, 255, 255)"`)
	if ratio < 7 || dark != (taste == "dark") {
		t.Errorf("%s at %d: text has a contrast of %.1f, dark ground %v", taste, width, ratio, dark)
	}
}

var pdfPage = regexp.MustCompile(`/Type\s*/Page\b[^s]`)

// checkPaper: the page prints on two to six sheets of A4.
func checkPaper(t *testing.T, b *tab) {
	t.Helper()
	pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
	b.must(err)
	if n := len(pdfPage.FindAll(pdf, -1)); n < 2 || n > 6 {
		t.Errorf("%d sheets", n)
	}
	// A4 is 210 by 297 mm (ISO 216): 595.3 by 841.9 points.
	if !regexp.MustCompile(`/MediaBox \[0 0 59[456][.\d]* 84[123]`).Match(pdf) {
		t.Errorf("no sheet of A4: %q", regexp.MustCompile(`/MediaBox[^\n]*`).Find(pdf))
	}
}

// A wiring is drawn only where the list holds as it stands.
func TestReportOfOtherVerdicts(t *testing.T) {
	repair := simulated(t, "--seed", "3", "--stuck-low", "h2")
	little := simulated(t, "--seed", "3", "--turns", "1")
	for mark, path := range map[string]string{"repair-first": repair, "more-data": little} {
		text := readFile(t, reported(t, path))
		if !strings.Contains(text, `<main class="`+mark+`">`) || strings.Contains(text, `class="harness"`) {
			t.Errorf("%s: %.1500s", mark, text)
		}
		if connect := strings.Contains(text, "At the first power-up"); connect != (mark == "repair-first") {
			t.Errorf("%s: cautions for a power-up: %v", mark, connect)
		}
	}
}

// A list that holds for a motor with a coil the wrong way round is no reason to power
// it: the page begins with what is to be repaired. Magnets and coils stand in tables.
func TestReportWarns(t *testing.T) {
	sound := []string{"--seed", "11", "--slots", "12", "--pole-pairs", "5"}
	layouts := map[string]bool{"+A -A -B +B +C -C -A +A +B -B -C +C": false, "+A -A -B +B +C +C -A +A +B -B -C +C": true}
	for layout, warns := range layouts {
		text := readFile(t, reported(t, simulated(t, append(sound, "--layout", layout)...), "--slots", "12", "--poles", "10"))
		header, rest, _ := strings.Cut(text, "</header>")
		if !strings.Contains(header, "Ranked") || strings.Contains(header, "Repair it before the first power-up.") != warns ||
			strings.Contains(header, `class="repair-first"`) != warns {
			t.Errorf("warns is not %t: %s", warns, header)
		}
		magnets := regexp.MustCompile(`(?s)<th>magnet</th>.*?</table>`).FindString(rest)
		if n := strings.Count(magnets, "<tr>"); n != 5 || strings.Contains(text, "<pre") || !strings.Contains(rest, "<h3>Winding</h3>") {
			t.Errorf("%d rows of magnets, seen in pairs: %s", n, magnets)
		}
	}
}

// Several recordings and a settings file do as for rank; so do rest positions.
func TestReportOfOtherInput(t *testing.T) {
	joined := readFile(t, reported(t, "../../testdata/two-channel/motor.toml"))
	if !strings.Contains(joined, "striped") || !strings.Contains(joined, "The recordings are drawn one after another.") {
		t.Error("the joined recordings are not drawn")
	}
	if rest := readFile(t, reported(t, "../../testdata/rest.csv")); !strings.Contains(rest, `class="harness"`) || strings.Contains(rest, "NaN") {
		t.Error("rest positions have no drawing")
	}
}

// The page replaces an older one, but no recording and nothing else unasked.
func TestReportSparesFiles(t *testing.T) {
	dir := t.TempDir()
	spin, page, other := filepath.Join(dir, "spin.csv"), filepath.Join(dir, "page.html"), filepath.Join(dir, "other.txt")
	demo := readFile(t, demoFile)
	for path, text := range map[string]string{spin: demo, other: "keep me"} {
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		status int
		args   []string
		says   string
	}{
		{done, []string{spin, "-o", page}, ""},
		{done, []string{spin, "-o", page}, ""},
		{misuse, []string{spin, "-o", spin}, "is what is read"},
		{misuse, []string{spin, "-o", spin, "--force"}, "is what is read"},
		{misuse, []string{spin, "-o", other}, "overwrite it with --force"},
		{done, []string{spin, "-o", other, "--force"}, ""},
		{misuse, []string{spin}, `"output" not set`},
		{failed, []string{spin, "-o", filepath.Join(dir, "none", "page.html")}, "no such file"},
		{failed, []string{filepath.Join(dir, "none.csv"), "-o", filepath.Join(dir, "new.html")}, "none.csv"},
	} {
		got := handspin("", append([]string{"report"}, c.args...)...)
		if got.status != c.status || !strings.Contains(got.stderr, c.says) || (c.says == "") != (got.stderr == "") {
			t.Errorf("%q: %d %s", c.args, got.status, got.stderr)
		}
	}
	if readFile(t, spin) != demo || !strings.HasPrefix(readFile(t, other), "<!doctype html>") {
		t.Error("a file is not what it should be")
	}
	left, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil || len(left) != 3 {
		t.Errorf("%q", left)
	}
	if got := handspin("", "report", spin, "-o", "-"); got.status != done || !strings.HasSuffix(got.stdout, "</html>\n") {
		t.Errorf("%d %s", got.status, got.stderr)
	}
}

// Whatever kind of recording it is, no number on the page is none, and what opens is
// closed.
func TestReportOfEveryKind(t *testing.T) {
	for kind := range synth.Kinds {
		text := readFile(t, reported(t, simulated(t, "--seed", "9", "--kind", kind.String())))
		if at := regexp.MustCompile(`NaN|[+-]Inf|%!`).FindStringIndex(text); at != nil {
			t.Errorf("%v: %s", kind, text[max(0, at[0]-200):at[1]])
		}
		for _, tag := range []string{"section", "table", "div", "figure", "svg", "tr", "td", "ul", "main"} {
			opened, closed := len(regexp.MustCompile(`<`+tag+`[ >]`).FindAllString(text, -1)), strings.Count(text, "</"+tag+">")
			if opened != closed {
				t.Errorf("%v: %d %s are opened, %d closed", kind, opened, tag, closed)
			}
		}
	}
}
