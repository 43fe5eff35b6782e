package csvfile

import (
	"fmt"
	"strings"
	"testing"
)

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

// TestTwoReadings: Vu is the voltage of U, UV that from U to V; where neither the case
// nor the order of the leads decides, nothing is guessed.
func TestTwoReadings(t *testing.T) {
	for names, want := range map[string]string{
		"Vu,Vw": "[p1 p3]", "Uv,Uw": "[p2 p3]", "UV,VW": "[p12 p23]", "uv,wu": "[p12 p31]", "V-U,V-W": "[p12 p23]",
		"Uu,Uv,Uw": "[p1 p2 p3]", "vu,vw": "refused", "UV,UW": "refused",
	} {
		text := "Time (s)," + names + "\n"
		for i := range 60 {
			text += fmt.Sprintf("%.2f%s\n", float64(i)/100, strings.Repeat(fmt.Sprintf(",%.1f", float64(i*i%17)), 1+strings.Count(names, ",")))
		}
		rec, err := Parse([]byte(text), "f", Options{})
		got := "refused"
		if err == nil {
			var fields []string
			for _, c := range rec.Columns {
				fields = append(fields, fmt.Sprint(c.Signal))
			}
			got = fmt.Sprint(fields)
		} else if !strings.Contains(err.Error(), "that between two") {
			t.Error(err)
		}
		if got != want {
			t.Errorf("%s: %s, want %s", names, got, want)
		}
	}
}

// TestTwoClocks: a second clock that no word names costs no phase.
func TestTwoClocks(t *testing.T) {
	text := "Time A,Time B,H1,H2,H3,U,V,W\n"
	for i := range 200 {
		text += fmt.Sprintf("%.3f,%.3f,%d,%d,%d,%d.5,%d,%d\n", float64(i)/1000, float64(i)/1000, i/10%2, i/7%2, i/9%2, i*i%17, i*i%19, i*i%23)
	}
	rec, err := Parse([]byte(text), "f", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(rec.Columns) != 3 || rec.Columns[0].Source != "U" {
		t.Errorf("columns %v, notes %v", rec.Columns, rec.Notes)
	}
}

// TestOneUnit: no row is left out for its unit, nor read by that of another.
func TestOneUnit(t *testing.T) {
	text := "Time,CH1,CH2\n"
	for i := range 100 {
		cell := fmt.Sprintf("%dus", i*10)
		if i > 90 {
			cell = fmt.Sprintf("%.2fms", float64(i)/100)
		}
		text += fmt.Sprintf("%s,%dmV,%dmV\n", cell, i*i%17, i*i%19)
	}
	if rec, err := Parse([]byte(text), "f", Options{}); err == nil || !strings.Contains(err.Error(), "f:93:1: Time is not a time: \"0.91ms\", where the first rows have another unit") {
		t.Errorf("error %v, recording %v; want it refused", err, rec)
	}
}
