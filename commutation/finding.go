package commutation

import "slices"

// Severity says what a [Finding] does to the verdict.
type Severity string

// The severities, mildest first. A note leaves the list as it is; with data
// the recording cannot tell and another one is needed; with repair something
// has to be repaired or changed before any list holds.
const (
	Note   Severity = "note"
	Data   Severity = "data"
	Repair Severity = "repair"
)

// Finding is something seen about a motor or its recording.
type Finding struct {
	Code     string   `json:"code"`
	Severity Severity `json:"severity"`
	// Lead is p1 to p3 or h1 to h3; empty where the finding is about none
	// in particular.
	Lead string `json:"lead,omitempty"`
	// Text says what was seen, Hint what to do about it.
	Text string `json:"text"`
	Hint string `json:"hint,omitempty"`
}

// Found reports whether one of the findings has one of the codes.
func Found(findings []Finding, codes ...string) bool {
	return slices.ContainsFunc(findings, func(f Finding) bool { return slices.Contains(codes, f.Code) })
}
