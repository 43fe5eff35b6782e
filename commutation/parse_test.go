package commutation

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

const plainTable = "state,high,low\n101,U,V\n100,U,W\n110,V,W\n010,V,U\n011,W,U\n001,W,V\n"

func TestParseTableForms(t *testing.T) {
	want := Typical()
	want.Name = "mine"
	for what, text := range map[string]string{
		"plain":             plainTable,
		"CRLF":              strings.ReplaceAll(plainTable, "\n", "\r\n"),
		"byte-order mark":   "\ufeff" + plainTable,
		"no last line end":  strings.TrimSuffix(plainTable, "\n"),
		"spaces":            strings.ReplaceAll(plainTable, ",", " , "),
		"spaces before":     strings.ReplaceAll(plainTable, "\n", "\n\t "),
		"comments":          "# controller of the blue bench\n" + strings.ReplaceAll(plainTable, "110", "# half way\n110"),
		"blank lines":       strings.ReplaceAll(plainTable, "\n", "\n\n"),
		"a sheet's blanks":  strings.ReplaceAll(plainTable, "\n", ",,\n,,,,\n"),
		"quotes":            strings.ReplaceAll(plainTable, "101", `"101"`),
		"capitals in names": strings.Replace(plainTable, "state,high,low", "State,HIGH,Low", 1),
	} {
		got, err := ParseTable("mine", []byte(text))
		if err != nil || got != want {
			t.Errorf("%s: got %v, error %v", what, got, err)
		}
	}
}

func TestParseTableErrors(t *testing.T) {
	rows := func(lines ...string) string { return "state,high,low\n" + strings.Join(lines, "\n") + "\n" }
	for _, c := range []struct{ what, text, want, hint string }{
		{"empty", "", "t:1:1: no line state,high,low", "begin with"},
		{"comments only", "# a\n# b\n", "t:1:1: no line state,high,low", "begin with"},
		{"no header", "101,U,V\n", `t:1:1: column "101" where state was expected`, "begin with"},
		{"other order", "state,low,high\n", `t:1:7: column "low" where high was expected`, "begin with"},
		{"column lacking", "state,high\n101,U\n", "t:1:1: no column low", "begin with"},
		{"column too many", "state,high,low,open\n", `t:1:16: column "open" after state,high,low`, "begin with"},
		{"semicolons", "state;high;low\n101;U;V\n", `t:1:1: column "state;high;low" where state was expected`, "state,high,low"},
		{"repeated state", rows("101,U,V", "# again", "101,U,V"), "t:4:1: state 101 again, after line 2", "one of the two"},
		{"unknown terminal", rows("101,U,X"), `t:2:7: terminal "X" is none of U, V, W`, "U, V, W"},
		{"other letters", rows("101,A,B"), `t:2:5: terminal "A" is none of U, V, W`, "order"},
		{"small letter", rows("101, u,V"), `t:2:6: terminal "u" is none of U, V, W`, "U, V, W"},
		{"high is low", rows("101,U,V", "100,U,U"), "t:3:7: terminal U is both high and low", "leave out"},
		{"zeros dropped", rows("101,U,V", "1,W,V"), `t:3:1: state "1" is not three digits`, "leading zeros"},
		{"bad digit", rows("1x1,U,V"), `t:2:1: state "1x1" has other digits than 0 and 1`, "levels"},
		{"no drive", rows("000,,"), "t:2:1: 1 of the 3 fields state,high,low", "leave out"},
		{"one terminal", rows("101,U"), "t:2:5: 2 of the 3 fields state,high,low", "as in 101,U,V"},
		{"one field too many", rows("101,U,V,W"), "t:2:9: 4 of the 3 fields state,high,low", "as in 101,U,V"},
		{"five states", rows("101,U,V", "100,U,W", "110,V,W", "010,V,U", "", "011,W,U"), "t:7:1: the table ends after 5 states, but six-step drive has six", "missing"},
		{"header only", "state,high,low", "t:1:1: the table ends after 0 states, but six-step drive has six", "missing"},
		{"stray quote", rows(`101,U"x,V`), `t:2:6: bare " in non-quoted-field`, "as in 101,U,V"},
		{"a quote in the header", `"state"x,high,low`, `t:1:7: extraneous or missing " in quoted-field`, "as in 101,U,V"},
		{"a long field", rows(strings.Repeat("10", 500) + ",U,V"), `t:2:1: state "101010101010101010101010"... is not three digits`, "as in 010"},
		{"rubbish", "\x7fELF\x02\x01\x00\x00\xff", `t:1:1: column "\x7fELF\x02\x01\x00\x00\xff" where state was expected`, "begin with"},
	} {
		_, err := ParseTable("t", []byte(c.text))
		var bad *TableError
		switch {
		case !errors.As(err, &bad):
			t.Errorf("%s: error %v is no *TableError", c.what, err)
		case err.Error() != c.want:
			t.Errorf("%s:\n got %s\nwant %s", c.what, err, c.want)
		case !strings.Contains(bad.Hint, c.hint):
			t.Errorf("%s: hint %q lacks %q", c.what, bad.Hint, c.hint)
		}
	}
}

// text returns t as ParseTable reads it.
func (t DriveTable) text() string {
	out := "state,high,low\n"
	for s := range State(8) {
		if d, ok := t.At(s); ok {
			out += fmt.Sprintf("%v,%v,%v\n", s, d.High, d.Low)
		}
	}
	return out
}

func FuzzParseTable(f *testing.F) {
	f.Add([]byte(plainTable))
	f.Add([]byte(Typical60().text()))
	f.Add([]byte("\ufeff# x\r\nstate , high,low\r\n\"101\",U,V\r\n,,\r\n1,U,V"))
	f.Fuzz(func(t *testing.T, text []byte) {
		table, err := ParseTable("f", text)
		if err != nil {
			var bad *TableError
			if !errors.As(err, &bad) || bad.Line < 1 || bad.Column < 1 || bad.Msg == "" || bad.Hint == "" {
				t.Fatalf("error %#v lacks its place, message or hint", err)
			}
			return
		}
		again, err := ParseTable("f", []byte(table.text()))
		if err != nil || again != table {
			t.Fatalf("%q became %v, error %v", table.text(), again, err)
		}
	})
}
