package present

type diagnosisJSON struct {
	Untested  string      `json:"untested,omitempty"`
	Slots     int         `json:"slots,omitempty"`
	Poles     int         `json:"poles,omitempty"`
	Sound     bool        `json:"sound"`
	Faulty    bool        `json:"faulty"`
	Explained bool        `json:"explained"`
	PSound    *float64    `json:"sound_probability"`
	Off       *float64    `json:"off"`
	Groups    []groupJSON `json:"groups"`
	Tests     []string    `json:"tests"`
}

type groupJSON struct {
	Probability *float64    `json:"probability"`
	Faults      []faultJSON `json:"faults"`
}

type faultJSON struct {
	Code  string `json:"code"`
	Text  string `json:"text"`
	Teeth []int  `json:"teeth,omitempty"`
	// Share is of the coil's or the phase's turns, negative where too many.
	Share   *float64 `json:"share,omitempty"`
	ShareSD *float64 `json:"share_sd,omitempty"`
}

func newDiagnosisJSON(d *Diagnosis) *diagnosisJSON {
	if d == nil {
		return nil
	}
	if d.Untested != "" {
		return &diagnosisJSON{Untested: d.Untested, Groups: []groupJSON{}, Tests: []string{}}
	}
	out := &diagnosisJSON{
		Slots: d.Layout.Slots(), Poles: d.Layout.Poles(), Sound: d.Found.Sound(), Faulty: d.Found.Faulty(),
		Explained: d.Found.Explained(), PSound: known(d.Found.PSound(), 4), Off: known(d.Found.Off, 4), Groups: []groupJSON{}, Tests: []string{},
	}
	for _, g := range d.Found.Groups {
		if g.Probability < 1e-3 {
			break
		}
		group := groupJSON{Probability: known(g.Probability, 4)}
		for _, f := range g.Faults {
			fault := faultJSON{Code: f.Kind.Code(), Text: f.String()}
			for _, k := range f.Teeth {
				fault.Teeth = append(fault.Teeth, k+1)
			}
			if f.Share != 0 {
				fault.Share, fault.ShareSD = known(f.Share, 4), known(f.ShareSD, 4)
			}
			group.Faults = append(group.Faults, fault)
		}
		out.Groups = append(out.Groups, group)
	}
	for _, t := range d.Found.Tests {
		out.Tests = append(out.Tests, string(t))
	}
	return out
}
