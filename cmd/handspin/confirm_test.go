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
	if got := handspin("", "confirm", "none.csv"); got.status != failed || !strings.Contains(got.stderr, "there is no such file") {
		t.Errorf("%d %s", got.status, got.stderr)
	}
}
