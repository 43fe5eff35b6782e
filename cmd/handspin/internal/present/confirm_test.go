package present

import (
	"bytes"
	"strings"
	"testing"

	"handspin/commutation"
)

func TestConfirmationWords(t *testing.T) {
	// The ideal motor runs straight from the typical table, and from that table
	// reversed it runs straight in reverse.
	unsure := answer(ideal())
	unsure.Confidence = 0.9
	reversed := answer(ideal())
	reversed.Ranking = commutation.Rank(ideal(), nil, commutation.Typical().Reverse())
	onlyReverse := answer(ideal())
	for i := range onlyReverse.Ranking.Wirings {
		if j := &onlyReverse.Ranking.Wirings[i]; j.Behaviour == commutation.CleanForward {
			j.Behaviour = commutation.CleanReverse
		}
	}
	for name, c := range map[string]struct {
		a    *Answer
		pass bool
		want string
	}{
		"good":         {answer(ideal()), true, "Pass, "},
		"doubtful":     {unsure, false, "Fail: clean forward as connected, but 90 % sure only."},
		"reversed":     {reversed.decided(), false, "To do: power off, then exchange the leads at "},
		"only reverse": {onlyReverse, false, "no wiring runs it clean forward"},
		"stuck":        {answer(ideal(), stuck), false, "Fail. Repair first: h2"},
		"border":       {answer(ideal(), border), false, "Fail. More data needed: "},
		"unknown":      {without(answer(ideal(), border)), false, "Fail. More data needed: "},
	} {
		got := NewConfirmation(c.a)
		var text, doc bytes.Buffer
		if err := ConfirmationText(&text, got); err != nil {
			t.Fatal(err)
		}
		if err := ConfirmationJSON(&doc, got); err != nil {
			t.Fatal(err)
		}
		if words := strings.Join(strings.Fields(text.String()), " "); got.Pass != c.pass || !strings.Contains(words, c.want) {
			t.Errorf("%s: pass %v\n%s", name, got.Pass, text.String())
		}
		if strings.Contains(doc.String(), `"pass": true`) != c.pass {
			t.Errorf("%s:\n%s", name, doc.String())
		}
	}
}

func TestOwnTableKeepsNamesHarmless(t *testing.T) {
	// A file's name ends neither the comment nor the line it is in.
	a := answer(ideal())
	a.Recording.Name = "x*/ int y;\n\x1b[2J"
	var b bytes.Buffer
	if err := OwnC(&b, NewOwn(a, false)); err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(b.String(), "\n")
	if strings.Contains(first, "*/") || strings.Contains(b.String(), "\x1b") {
		t.Errorf("got\n%s", b.String())
	}
}
