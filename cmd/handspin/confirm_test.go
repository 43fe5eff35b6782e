package main

import (
	"encoding/json"
	"strings"
	"testing"
)

// TestConfirm: phases and sensors in order, the first sensor at 30 degrees, are
// what the typical table is for; exchanged leads have to be exchanged back.
func TestConfirm(t *testing.T) {
	for _, c := range []struct {
		phases, sensors string
		pass            bool
		exchange        string
	}{
		{"123", "123", true, ""},
		{"213", "123", false, "U and V"},
		{"123", "132", false, "HV and HW"},
		{"231", "231", true, ""}, // moving all leads round does nothing
	} {
		text := connected(t, c.phases, c.sensors, "")
		got := handspin(text, "confirm", "-", "--controller", "typical", "--format", "json")
		var a struct {
			Schema   string
			Pass     bool
			Exchange [][2]string
		}
		if err := json.Unmarshal([]byte(got.stdout), &a); err != nil {
			t.Fatal(err)
		}
		if a.Schema != "handspin.confirm/1" || a.Pass != c.pass || (got.status == done) != c.pass {
			t.Errorf("%v: %d %s", c, got.status, got.stdout)
		}
		if c.pass && len(a.Exchange) != 0 || !c.pass && (len(a.Exchange) != 1 || strings.Join(a.Exchange[0][:], " and ") != c.exchange) {
			t.Errorf("%v: exchange %v", c, a.Exchange)
		}
		text = handspin(text, "confirm", "-", "--controller", "typical").stdout
		if first := strings.Fields(text)[0]; c.pass != (first == "Pass,") || !strings.Contains(text, c.exchange) {
			t.Errorf("%v:\n%s", c, text)
		}
	}
}

// TestConfirmAbstains: what cannot be told, or must be repaired, is no pass.
func TestConfirmAbstains(t *testing.T) {
	for flags, want := range map[string]string{
		"--turns 0.4":    "Fail. More data needed: ",
		"--stuck-low h2": "Fail. Repair first: ",
		"--inverted h2":  "Fail. Repair first: ",
	} {
		text := connected(t, "123", "123", flags)
		got := handspin(text, "confirm", "-")
		if got.status != failed || !strings.HasPrefix(got.stdout, want) || got.stderr != "" {
			t.Errorf("%s: %d %s%s", flags, got.status, got.stdout, got.stderr)
		}
	}
	if got := handspin("", "confirm", "../../testdata/rest.csv"); got.status != failed || got.stdout != "" || !strings.Contains(got.stderr, "rest positions prove no wiring") || !strings.Contains(got.stderr, "hint: spin the rotor") {
		t.Errorf("rest positions: %d %s%s", got.status, got.stdout, got.stderr)
	}
	if got := handspin("", "confirm", "none.csv"); got.status != failed || !strings.Contains(got.stderr, "there is no such file") {
		t.Errorf("%d %s", got.status, got.stderr)
	}
}

// TestAssumedPass: without --controller the first sentence says what the pass
// stands on, in every form.
func TestAssumedPass(t *testing.T) {
	text := connected(t, "123", "123", "")
	for format, want := range map[string]string{
		"text":     "Pass, if the controller's drive table is typical, which is assumed: ",
		"markdown": "**Pass, if the controller's drive table is typical, which is assumed: ",
		"csv":      "pass,verdict,behaviour,confidence,exchange,table,assumed\ntrue,ranked,clean-forward,0.9999,,typical,true\n",
		"json":     `{`,
	} {
		got := handspin(text, "confirm", "-", "--format", format)
		if got.status != done || !strings.HasPrefix(got.stdout, want) {
			t.Errorf("%s: %d\n%s", format, got.status, got.stdout)
		}
		if format == "json" && !strings.Contains(got.stdout, `"assumed": true`) {
			t.Errorf("got\n%s", got.stdout)
		}
		if words := strings.Join(strings.Fields(got.stdout), " "); strings.Contains("text markdown", format) && !strings.Contains(words, "forward is the way this second spin was turned") {
			t.Errorf("got\n%s", got.stdout)
		}
	}
	got := handspin(connected(t, "213", "123", ""), "confirm", "-", "--format", "csv")
	if got.status != failed || !strings.Contains(got.stdout, "\nfalse,ranked,stall,") || !strings.Contains(got.stdout, ",U-V,") {
		t.Errorf("%d\n%s", got.status, got.stdout)
	}
}
