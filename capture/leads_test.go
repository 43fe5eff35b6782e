package capture

import "testing"

func TestParseLeads(t *testing.T) {
	got, err := ParseLeads(" p1=yellow, P3 = thick blue ,h1=yellow,h2=a=b")
	want := Leads{Phase: [3]string{"yellow", "", "thick blue"}, Hall: [3]string{"yellow", "a=b", ""}}
	if err != nil || got != want {
		t.Fatalf("got %+v, %v", got, err)
	}
	if s := got.String(); s != "p1=yellow,p3=thick blue,h1=yellow,h2=a=b" {
		t.Errorf("String gave %q", s)
	}
	if again, err := ParseLeads(got.String()); err != nil || again != want {
		t.Errorf("read back as %+v, %v", again, err)
	}
}

func TestParseLeadsErrors(t *testing.T) {
	for in, want := range map[string]string{
		"":              `lead entry "" is not of the form p1=NAME`,
		"p1":            `lead entry "p1" is not of the form p1=NAME`,
		"p4=x":          `lead "p4" is not one of p1 p2 p3 h1 h2 h3`,
		"p1= ":          `lead p1 has an empty name`,
		"p1=a,p1=b":     `lead p1 is named twice`,
		"p1=a,p2=a":     `two leads are named "a"`,
		"h1=a\x1b[31mb": `the name of lead h1 has a control character: "a\x1b[31mb"`,
	} {
		if _, err := ParseLeads(in); err == nil || err.Error() != want {
			t.Errorf("%q: %v, want %s", in, err, want)
		}
	}
}
