package present

import (
	"fmt"
	"io"
	"strings"

	"handspin/cmd/handspin/internal/picture"
	"handspin/commutation"
)

// report is what the page of an answer is made of. What comes from a file went
// through [Clean] before; [markup] escapes it.
type report struct {
	title string
	// verdict has its reason, mark is its name for the style sheet.
	verdict, mark string
	reason, todo  string
	// warning is what is to be repaired although the list holds.
	warning string
	// wires is the drawing, the leads at the terminals; nil where the list does
	// not hold as it stands.
	wires    []string
	answer   []block
	sections []section
}

// section is a part of the page with a heading.
type section struct {
	id, title string
	blocks    []block
}

// block is a paragraph, or a list, a table or a picture with its words.
type block struct {
	title, text string
	items       []string
	header      []string
	rows        [][]string
	picture     string // an svg element
}

// reportMark begins every report; see [IsReport].
const reportMark = "<!doctype html>\n<!-- handspin report -->\n"

// IsReport reports whether a file that begins so is a report of this program.
func IsReport(beginning []byte) bool { return strings.HasPrefix(string(beginning), reportMark) }

// ReportMark is how many bytes of a file tell [IsReport].
const ReportMark = len(reportMark)

// Report prints n, the inspection that belongs to a, as one HTML page that needs
// nothing else. program names the program and its version.
func Report(w io.Writer, a *Answer, n *Inspection, program string) error {
	m := &markup{}
	m.page(newReport(a, n, program))
	_, err := io.WriteString(w, reportMark+m.b.String())
	return err
}

func newReport(a *Answer, n *Inspection, program string) *report {
	sentence, todo := a.headline()
	verdict, reason, _ := strings.Cut(sentence, ": ")
	r := &report{title: "handspin: " + Clean(a.Recording.Name), verdict: verdict, mark: string(a.Verdict), reason: capital(reason)}
	if todo != "" {
		r.todo = todo + "."
	}
	if a.Verdict == commutation.Ranked && n.Verdict == commutation.RepairFirst {
		r.mark, r.warning = string(n.Verdict), n.opening()+" Repair it before the first power-up."
	}
	r.connect(a)
	r.add("health", "Is the motor sound?", n.healthBlocks())
	r.add("evidence", "What the recording shows", a.pictures(n.Rotor))
	r.add("equivalents", "Other wirings that run it cleanly", a.equivalents())
	r.add("traps", "Traps", a.traps())
	r.add("untested", "What was not tested", []block{{text: limitsWords + " " + hiddenWords + " " + n.untested()}})
	if holds(a) {
		r.add("power-up", "At the first power-up", []block{{items: sentences(cautionWords)}})
	}
	r.add("recording", "The recording", a.recordingBlocks(program))
	return r
}

// add adds a section, unless it is empty.
func (r *report) add(id, title string, blocks []block) {
	if len(blocks) > 0 {
		r.sections = append(r.sections, section{id, title, blocks})
	}
}

// holds reports whether there is something to connect, be it after a repair.
func holds(a *Answer) bool {
	return len(a.Ranking.Clean()) > 0 && a.Verdict != commutation.MoreData
}

// connect says what to connect. It is drawn only where the list holds as it stands.
func (r *report) connect(a *Answer) {
	clean := a.Ranking.Clean()
	if !holds(a) {
		r.answer = []block{{text: noList(a)}}
		return
	}
	first := clean[0]
	words := block{title: firstTitle(a), text: capital(a.behaviourWords(first)) + "."}
	if a.Verdict != commutation.Ranked {
		words.header, words.rows = []string{"controller", "motor lead"}, pairs(a.ends(first.Wiring))
		r.answer = []block{words}
		return
	}
	ends := a.ends(first.Wiring)
	r.wires = ends[:]
	r.answer = []block{words}
	for _, text := range driveTableWords(a) {
		r.answer = append(r.answer, block{text: text})
	}
}

func pairs(ends [6]string) (rows [][]string) {
	for i, end := range ends {
		rows = append(rows, []string{terminals[i], end})
	}
	return rows
}

// healthBlocks is what inspect says, in tables.
func (n *Inspection) healthBlocks() []block {
	out := []block{{text: n.opening()}}
	var said []string
	for _, f := range n.findings() {
		said = append(said, string(f.Severity)+": "+n.findingWords(f)+".")
	}
	if len(said) > 0 {
		out = append(out, block{title: "Findings", items: said})
	}
	title, header, rows := n.sensorTable()
	out = append(out, block{title: title, header: header, rows: rows})
	if header, rows := filled(sensorHealthHeader, n.sensorHealthRows()); len(rows) > 0 {
		out = append(out, block{header: header, rows: rows, text: n.placeWords()})
	}
	if !n.AtRest {
		header, rows = n.phaseTable()
		out = append(out, block{title: n.phasesTitle(), header: header, rows: rows, text: capital(n.fluxWords())})
	}
	for i, b := range n.windingBlocks() {
		if i == 0 {
			b.title = "Winding"
		}
		out = append(out, b)
	}
	out = append(out, n.rotorBlocks()...)
	if title, rows := n.constantTable(); rows != nil {
		out = append(out, block{title: title, header: constantHeader, rows: rows})
	}
	return out
}

// filled leaves out the columns in which nothing stands.
func filled(header []string, rows [][]string) (names []string, out [][]string) {
	out = make([][]string, len(rows))
	for c, name := range header {
		empty := true
		for _, row := range rows {
			empty = empty && row[c] == ""
		}
		if empty {
			continue
		}
		names = append(names, name)
		for i, row := range rows {
			out[i] = append(out[i], row[c])
		}
	}
	return names, out
}

// pictures are those that the recording has something for.
func (a *Answer) pictures(r *Rotor) (out []block) {
	add := func(p picture.Picture, ok bool) {
		if ok {
			out = append(out, block{title: p.Title, text: p.Words + " " + p.Note, picture: p.SVG})
		}
	}
	var names picture.Names
	for i := range 3 {
		names.Phase[i], names.Hall[i] = Clean(a.Recording.Leads.Phase[i]), Clean(a.Recording.Leads.Hall[i])
	}
	traces := a.Spin.Traces()
	add(picture.Waves(a.Spin, traces, names))
	if holds(a) {
		add(picture.Torque(a.Spin.Motor, a.Ranking.Table, a.typical()))
	}
	add(picture.Dial(a.Spin, names))
	add(picture.Speed(traces, a.Recording.PolePairs))
	if r != nil {
		add(picture.Poles(r.Waves, r.Pattern, names))
	}
	return out
}

// typical are the best wiring, the best of those that run badly, and the first
// that stalls.
func (a *Answer) typical() []commutation.Judged {
	out := a.Ranking.Wirings[:1:1]
	for _, list := range [][]commutation.Judged{a.having(commutation.WeakForward, commutation.WeakReverse), a.having(commutation.Stall)} {
		if len(list) > 0 {
			out = append(out, list[0])
		}
	}
	return out
}

func (a *Answer) equivalents() (out []block) {
	if !holds(a) {
		return nil
	}
	first := a.Ranking.Clean()[0]
	for _, group := range []struct {
		title string
		b     commutation.Behaviour
	}{{equallyTitle, commutation.CleanForward}, {reverseTitle, commutation.CleanReverse}} {
		if rows := a.otherRows(first, group.b); len(rows) > 0 {
			out = append(out, block{title: group.title, rows: rows})
		}
	}
	if text := a.reversing(); text != "" {
		out = append(out, block{text: text})
	}
	return out
}

// traps warns of the wirings that only seem to do, and lists all there are.
func (a *Answer) traps() (out []block) {
	if trap := a.trap(); trap != "" && holds(a) {
		out = append(out, block{text: strings.TrimPrefix(trap, "Trap: ")})
	}
	if len(a.Ranking.Wirings) > 0 {
		out = append(out, block{title: everyTitle(a), header: listHeader, rows: a.listRows(a.ends)})
	}
	return out
}

// mostHeader is how many header lines of a recording the page repeats.
const mostHeader = 30

func (a *Answer) recordingBlocks(program string) []block {
	out := []block{{text: recordingWords(a)}}
	var notes []string
	for _, note := range a.Recording.Notes {
		notes = append(notes, Clean(note)+".")
	}
	for _, damage := range a.Recording.Damage {
		notes = append(notes, "damaged: "+Clean(damage.Error())+".")
	}
	if len(notes) > 0 {
		out = append(out, block{title: "How it was read", items: notes})
	}
	var header [][]string
	for _, line := range a.Recording.Header {
		if len(header) < mostHeader {
			header = append(header, []string{Clean(line.Key), Clean(line.Value)})
		}
	}
	if len(header) > 0 {
		out = append(out, block{title: "What its header says", rows: header})
	}
	return append(out, block{text: fmt.Sprintf("Written by %s.", Clean(program))})
}

func sentences(words []string) (out []string) {
	for _, text := range words {
		out = append(out, capital(text)+".")
	}
	return out
}

// capital returns text with a capital at its start, unless a lead's key stands there.
func capital(text string) string {
	if at := leadKey().FindStringIndex(text); text == "" || at != nil && at[0] == 0 {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}
