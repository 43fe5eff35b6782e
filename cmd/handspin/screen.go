package main

import (
	"io"
	"os"

	"golang.org/x/term"

	"handspin/cmd/handspin/internal/present"
)

func isTerminal(out io.Writer) bool {
	f, ok := out.(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// widthOf returns a terminal's width in columns, 0 where it does not tell or out is
// none.
func widthOf(out io.Writer) int {
	f, ok := out.(*os.File)
	if !ok {
		return 0
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		return 0
	}
	return width
}

// colors is the flag that says when there are colours.
func colors() *value[string] { return choice("WHEN", "auto", "always", "never") }

// screenOf returns what may be printed on out beside plain text: colours as the flag
// says, where that is auto by the terminal and NO_COLOR (no-color.org); a sketch on a
// terminal of 80 columns.
func screenOf(out io.Writer, color string) present.Screen {
	terminal := isTerminal(out) && os.Getenv("TERM") != "dumb"
	s := present.Screen{Blocks: terminal && widthOf(out) >= usualWidth, Color: color == "always"}
	if color == "auto" {
		s.Color = terminal && os.Getenv("NO_COLOR") == ""
	}
	return s
}
