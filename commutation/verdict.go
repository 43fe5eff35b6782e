package commutation

import "slices"

// Verdict says what a list of wirings is worth.
type Verdict string

// The verdicts. Ranked: the evidence carries the list. RepairFirst: something
// has to be repaired or changed, and the list holds after that, if at all.
// MoreData: the recording cannot tell.
const (
	Ranked      Verdict = "ranked"
	RepairFirst Verdict = "repair-first"
	MoreData    Verdict = "more-data"
)

// Decide returns the verdict on list r and the probability that its set of
// clean wirings is right. usable says whether the recording determined the
// motor at all, reliability is the probability that its estimate's structure is
// right, and findings are those about the recording and the motor. r's own
// findings count as well, but ask for no repair where the recording cannot bear the
// list out.
func Decide(r Ranking, usable bool, reliability float64, findings []Finding) (Verdict, float64) {
	confidence := 0.0
	if usable && reliability > 0 { // so that NaN counts as 0
		confidence = min(reliability, 1) * r.CleanConfidence
	}
	has := func(of []Finding, s Severity) bool {
		return slices.ContainsFunc(of, func(f Finding) bool { return f.Severity == s })
	}
	switch {
	case has(findings, Repair):
		return RepairFirst, confidence
	case !usable || has(findings, Data):
		return MoreData, confidence
	case has(r.Findings, Repair):
		return RepairFirst, confidence
	case has(r.Findings, Data):
		return MoreData, confidence
	case len(r.Clean()) == 0:
		return RepairFirst, confidence
	}
	return Ranked, confidence
}
