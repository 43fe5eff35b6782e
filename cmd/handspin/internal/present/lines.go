package present

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"handspin/commutation"
)

// Lines prints answers one on a line.
type Lines struct {
	w    io.Writer
	json bool
	told bool // the names of the columns
}

// NewLines returns Lines that print JSON documents, or CSV.
func NewLines(w io.Writer, json bool) *Lines { return &Lines{w: w, json: json} }

// Answer prints a line for an answer. The wiring to connect first is in it only where
// the list holds as it stands.
func (l *Lines) Answer(a *Answer) error {
	if l.json {
		return JSONLine(l.w, a, true)
	}
	row := lineRow{
		"file": a.Recording.Name, "verdict": string(a.Verdict), "confidence": decimals(sure(a.Confidence), 4),
		"rows": fmt.Sprint(a.Recording.Rows()), "bad_rows": fmt.Sprint(a.Recording.BadRows), "findings": codes(a.findings()),
	}
	if !a.AtRest {
		row["seconds"] = decimals(a.Recording.Seconds(), 3)
		row["turns_forward"], row["turns_backward"] = decimals(a.Spin.TurnsForward, 2), decimals(a.Spin.TurnsBackward, 2)
	}
	if a.Verdict == commutation.Ranked {
		first := a.Ranking.Wirings[0]
		for i, end := range a.ends(first.Wiring) {
			row[terminals[i]] = end
		}
		row["behaviour"] = string(first.Behaviour)
		row["torque"], row["torque_min"] = decimals(first.Torque, 4), decimals(first.TorqueMin, 4)
	}
	return l.row(row)
}

// codes lists findings by their codes and leads.
func codes(all []commutation.Finding) string {
	var out []string
	for _, f := range all {
		code := f.Code
		if f.Lead != "" {
			code += ":" + f.Lead
		}
		out = append(out, code)
	}
	return strings.Join(out, " ")
}

// Failed prints a line for a file that could not be judged.
func (l *Lines) Failed(file string, err error, hint string) error {
	if !l.json {
		return l.row(lineRow{"file": file, "verdict": "failed", "error": err.Error()})
	}
	return compactJSON(l.w, failedDocument{Schema: "handspin.failed/1", File: file, Error: err.Error(), Hint: hint})
}

type failedDocument struct {
	Schema string `json:"schema"`
	File   string `json:"file"`
	Error  string `json:"error"`
	Hint   string `json:"hint,omitempty"`
}

// lineRow is a line by the names of its columns.
type lineRow map[string]string

var lineColumns = strings.Fields("file verdict confidence U V W HU HV HW behaviour torque torque_min " +
	"rows bad_rows seconds turns_forward turns_backward findings error")

func (l *Lines) row(r lineRow) error {
	out := csv.NewWriter(l.w)
	if !l.told {
		out.Write(lineColumns)
		l.told = true
	}
	var cells []string
	for _, name := range lineColumns {
		cells = append(cells, Clean(r[name]))
	}
	out.Write(cells)
	out.Flush()
	return out.Error()
}

// JSONLine prints what [JSON] does on one line.
func JSONLine(w io.Writer, a *Answer, _ bool) error { return compactJSON(w, newDocument(a)) }

func compactJSON(w io.Writer, d any) error {
	var indented, line bytes.Buffer
	if err := writeJSON(&indented, d); err != nil {
		return err
	}
	if err := json.Compact(&line, indented.Bytes()); err != nil {
		return err
	}
	line.WriteByte('\n')
	_, err := w.Write(line.Bytes())
	return err
}
