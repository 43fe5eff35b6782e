package capture

import "testing"

func TestPositionString(t *testing.T) {
	for want, p := range map[string]Position{
		"a.csv":     {File: "a.csv"},
		"a.csv:3":   {File: "a.csv", Line: 3},
		"a.csv:3:7": {File: "a.csv", Line: 3, Column: 7},
	} {
		if p.String() != want {
			t.Errorf("%#v prints %s, want %s", p, p, want)
		}
	}
}

func TestSyntaxErrorKeepsHintApart(t *testing.T) {
	e := &SyntaxError{Pos: Position{File: "a.csv", Line: 2, Column: 1}, Msg: "bad", Hint: "try again"}
	if e.Error() != "a.csv:2:1: bad" {
		t.Errorf("prints %s", e)
	}
}
