package present

import (
	"strings"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/pkg/twwidth"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"
)

// plainTable lays rows out in columns without rules, indented by two, below the
// names in header. Cells must not have line breaks.
func plainTable(header []string, rows [][]string) (string, error) {
	text, err := render(header, rows, renderer.NewBlueprint(tw.Rendition{
		Borders: tw.BorderNone,
		Settings: tw.Settings{
			Separators: tw.Separators{BetweenColumns: tw.Off},
			Lines:      tw.Lines{ShowTop: tw.Off, ShowBottom: tw.Off, ShowHeaderLine: tw.Off},
		},
	}))
	var b strings.Builder
	for line := range strings.Lines(text) {
		b.WriteString(" " + strings.TrimRight(line, " \n") + "\n")
	}
	return b.String(), err
}

// pipeTable lays rows out as a Markdown table.
func pipeTable(header []string, rows [][]string) (string, error) {
	escaped := make([][]string, len(rows))
	for i, row := range rows {
		for _, cell := range row {
			escaped[i] = append(escaped[i], escape(cell))
		}
	}
	return render(header, escaped, renderer.NewMarkdown())
}

func render(header []string, rows [][]string, by tw.Renderer) (string, error) {
	var b strings.Builder
	left := tw.CellAlignment{Global: tw.AlignLeft}
	t := tablewriter.NewTable(&b,
		tablewriter.WithConfig(tablewriter.Config{
			Header: tw.CellConfig{Alignment: left, Formatting: tw.CellFormatting{AutoFormat: tw.Off, AutoWrap: tw.WrapNone}},
			Row:    tw.CellConfig{Alignment: left, Formatting: tw.CellFormatting{AutoWrap: tw.WrapNone}},
		}),
		tablewriter.WithRenderer(by))
	t.Header(header)
	if err := t.Bulk(rows); err != nil {
		return "", err
	}
	err := t.Render()
	return b.String(), err
}

// widest returns the width of the longest line of text.
func widest(text string) int {
	most := 0
	for line := range strings.Lines(text) {
		most = max(most, twwidth.Width(strings.TrimRight(line, "\n")))
	}
	return most
}
