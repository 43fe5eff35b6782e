package spin

import (
	"fmt"
	"strings"

	"handspin/commutation"
)

// report collects the parts' findings, each with its recording's name, and what
// the whole set does not determine.
func (j *joiner) report() {
	j.reportDirection()
	for k, p := range j.parts {
		j.reportTie(k)
		p.report()
		for _, f := range p.result.Findings {
			if !partial(f.Code) {
				f.Text = p.rec.Name + ": " + f.Text
				j.result.Findings = append(j.result.Findings, f)
			}
		}
	}
	j.find("joined", commutation.Note, "", fmt.Sprintf("%d recordings were joined by angle on the Hall leads that they share, %s; that all were spun the same way %s", j.linkage.length(), strings.Join(j.inParts(2), " and "), j.way.granted(j.result.Usable)),
		"if one was not, record it again")
	var missing []string
	for i, s := range j.result.Sensors {
		if !s.Known {
			missing = append(missing, leadName("h", i))
		}
	}
	if len(missing) > 0 {
		j.find("sensor-not-recorded", commutation.Data, "", "no recording that could be joined has "+strings.Join(missing, " and "),
			"record it together with "+j.anyLead())
	}
	if len(j.result.PhaseOrder) == 0 && !j.analysis.has("phase-open") {
		j.find("phase-not-recorded", commutation.Data, "", "the recordings do not determine the three phase leads against one another",
			fmt.Sprintf("record two of the voltages p12, p23 and p31 between the leads, each together with %s, turning steadily enough to see; a lead against a ground of its own does not do", j.anyLead()))
	}
}

// reportTie says where part k does not fit in with the others.
func (j *joiner) reportTie(k int) {
	name := j.parts[k].rec.Name
	if off, against := j.against[k]; against && !j.way.suspects() {
		j.find("mixed-direction", commutation.Data, "", fmt.Sprintf("%s has its Hall leads up to %.0f electrical degrees from where other recordings have them: one of these was spun the other way, or is of another motor", name, off),
			"record that one again, spun the same way as the others")
	}
	if j.linkage.has(k) {
		return
	}
	severity := commutation.Data
	if j.result.Usable {
		severity = commutation.Note
	}
	j.find("recording-apart", severity, "", name+" was left out: no Hall lead changes in it that changes in the others",
		"record it again together with "+j.anyLead())
}

// anyLead names the Hall leads of the chain: recorded with one of them another can
// be tied in.
func (j *joiner) anyLead() string { return strings.Join(j.inParts(1), " or ") }

// inParts returns the Hall leads that at least so many of the chain's parts have.
func (j *joiner) inParts(least int) (leads []string) {
	for i := range j.result.Sensors {
		n := 0
		for k, p := range j.parts {
			if _, ok := p.mark(2 * i); ok && j.linkage.has(k) {
				n++
			}
		}
		if n >= least {
			leads = append(leads, leadName("h", i))
		}
	}
	return leads
}

// partial tells the findings that only say that one recording is not all.
func partial(code string) bool {
	switch code {
	case "sensor-not-recorded", "phase-not-recorded", "no-phases", "sensor-spacing", "phase-unbalance", "phase-spacing":
		return true
	}
	return false
}
