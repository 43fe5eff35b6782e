package rest

import (
	"strings"
	"testing"
)

func TestParse(t *testing.T) {
	table, err := Parse("f", []byte("\ufeff# leads: p1=yellow,h2=grey\nHall,high,low\n 1x0 ,p1,p2\r\n\n011,p3, P1+p2\n"))
	if err != nil {
		t.Fatal(err)
	}
	if table.Leads.Phase[0] != "yellow" || table.Leads.Hall[1] != "grey" || len(table.Positions) != 2 {
		t.Fatalf("%+v", table)
	}
	a, b := table.Positions[0], table.Positions[1]
	if a.Current != [3]float64{1, -1, 0} || a.Hall.String() != "1x0" || a.Line != 3 {
		t.Errorf("%+v %v", a, a.Hall)
	}
	if b.Current != [3]float64{-.5, -.5, 1} || b.Hall.String() != "011" || b.Line != 5 {
		t.Errorf("%+v %v", b, b.Hall)
	}
}

func TestSpreadsheets(t *testing.T) {
	for _, text := range []string{"high;low;hall\r\np1;p2;101\r\n", "high\tlow\thall\np1\tp2\t101\n"} {
		if table, err := Parse("f", []byte(text)); err != nil || len(table.Positions) != 1 {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestIs(t *testing.T) {
	for text, want := range map[string]bool{
		"high,low,hall\n": true, "# x\n\nHALL, low ,\"high\"\n": true,
		"high;low;hall\n": true, "high\tlow\thall\n": true, "state,high,low\n": false, "t_us,hall,p1\n": false, "": false, "# high,low,hall\n": false,
	} {
		if Is([]byte(text)) != want {
			t.Errorf("%q: %v", text, !want)
		}
	}
}

func TestBadTables(t *testing.T) {
	// Positions counted by hand.
	for text, want := range map[string]string{
		"high,low,hall\n":                          "f:1:1: there is no row",
		"high,low\n":                               "f:1:1: no line high,low,hall",
		"high,low,hall\np1,p1,101\n":               "f:2:4: lead p1 twice in a row",
		"high,low,h1,h2,h3\np1,p2,1,0,1\n":         "f:1:1: no column hall",
		"# x\nHigh;Low;H1;H2;H3\np1;p2;1;0;1\n":    "f:2:1: no column hall",
		"high,low,hall\np1,p4,101\n":               "f:2:4: lead \"p4\" is not one of",
		"high,low,hall\np1,p2,11\n":                "f:2:7: hall \"11\" is not three of 0, 1 and x",
		"high,low,hall\np1,p2,102\n":               "f:2:7: hall \"102\" is not three",
		"high,low,hall\np1,p2\n":                   "f:2:1: wrong number of fields",
		"high,low,hall\np1,,101\n":                 "f:2:4: lead \"\" is not one of",
		"# a\n# leads: p9=x\nhigh,low,hall\np1,p2": "f:2:1: lead \"p9\" is not one of",
	} {
		if _, err := Parse("f", []byte(text)); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add("# leads: p1=a\nhigh,low,hall\np1,p2+p3,1x0\n")
	f.Fuzz(func(t *testing.T, text string) {
		if table, err := Parse("f", []byte(text)); (err == nil) == (table == nil) {
			t.Errorf("%v %v", table, err)
		}
	})
}
