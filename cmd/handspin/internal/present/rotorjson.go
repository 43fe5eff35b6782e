package present

import (
	"math"

	"handspin/commutation/rotor"
)

type rotorJSON struct {
	PolePairs      int             `json:"pole_pairs"`
	PolePairsFound bool            `json:"pole_pairs_found"`
	Certain        bool            `json:"pole_pairs_certain"`
	ShaftTurns     *float64        `json:"shaft_turns"`
	Untested       string          `json:"untested,omitempty"`
	Untold         string          `json:"untold,omitempty"`
	Blind          bool            `json:"back_emf_blind"`
	Even           bool            `json:"even"`
	Fit            *float64        `json:"fit,omitempty"`
	Magnets        []magnetJSON    `json:"magnets,omitempty"`
	Causes         []causeJSON     `json:"causes,omitempty"`
	HalfWaves      []leadWavesJSON `json:"half_waves,omitempty"`
	Poles          []sensorPoles   `json:"sensor_poles,omitempty"`
}

type magnetJSON struct {
	Magnets     []int    `json:"magnets"`
	PositionDeg *float64 `json:"position_deg"`
	Strength    *float64 `json:"strength"`
	StrengthSD  *float64 `json:"strength_sd"`
	ShiftDeg    *float64 `json:"shift_deg"`
	ShiftSD     *float64 `json:"shift_sd_deg"`
}

type causeJSON struct {
	Kind    rotor.Kind `json:"kind"`
	Magnets []int      `json:"magnets,omitempty"`
	Size    *float64   `json:"size"`
	SD      *float64   `json:"sd"`
	// Or is what it may be as well.
	Or []causeJSON `json:"or,omitempty"`
}

type leadWavesJSON struct {
	Lead  string     `json:"lead"`
	Waves []waveJSON `json:"waves"`
}

type waveJSON struct {
	PositionDeg *float64 `json:"position_deg"`
	WidthDeg    *float64 `json:"width_deg"`
	LateSD      *float64 `json:"late_sd_deg"`
	Strength    *float64 `json:"strength"`
	StrengthSD  *float64 `json:"strength_sd"`
}

type sensorPoles struct {
	Lead  string          `json:"lead"`
	Poles []sensorPoleRow `json:"poles"`
}

type sensorPoleRow struct {
	LateDeg  *float64 `json:"late_deg"`
	LateSD   *float64 `json:"late_sd_deg"`
	WidthDeg *float64 `json:"width_deg"`
	Seen     int      `json:"seen"`
	Expected int      `json:"expected"`
}

func newRotorJSON(n *Inspection) *rotorJSON {
	r := n.Rotor
	if r == nil {
		return nil
	}
	out := &rotorJSON{PolePairs: r.PolePairs, PolePairsFound: r.Found, Certain: r.Certain || !r.Found, Untested: r.Untested, Untold: r.Untold, Blind: r.Blind, Even: r.even()}
	if r.Shaft == nil {
		return out
	}
	out.ShaftTurns = known(r.Shaft.Turns, 2)
	if r.Pattern != nil {
		out.pattern(r.Pattern, r.Shaft.PolePairs)
	}
	for lead, waves := range r.Waves {
		own := leadWavesJSON{Lead: phaseKey(lead)}
		for _, h := range waves {
			own.Waves = append(own.Waves, waveJSON{known(h.PlaceDeg+h.LateDeg/float64(r.Shaft.PolePairs), 3), known(h.WidthDeg, 2), significant(h.LateSD),
				known(h.Strength, 4), significant(h.StrengthSD)})
		}
		if own.Waves != nil {
			out.HalfWaves = append(out.HalfWaves, own)
		}
	}
	out.sensors(n)
	return out
}

func (j *rotorJSON) pattern(p *rotor.Pattern, pairs int) {
	j.Fit = known(p.Fit, 4)
	for _, m := range p.Poles {
		place := math.Mod(p.FirstDeg+180/float64(pairs)*float64(m.Numbers[0]), 360)
		j.Magnets = append(j.Magnets, magnetJSON{fromOne(m.Numbers), known(place, 2), known(m.Strength, 4), significant(m.StrengthSD),
			known(m.ShiftDeg, 2), significant(m.ShiftSD)})
	}
	j.Causes = causesJSON(p.Causes)
}

func causesJSON(all []rotor.Cause) (out []causeJSON) {
	for _, c := range all {
		out = append(out, causeJSON{c.Kind, fromOne(c.Magnets), known(c.Size, 4), significant(c.SD), causesJSON(c.Or)})
	}
	return out
}

func fromOne(all []int) []int {
	var out []int
	for _, i := range all {
		out = append(out, i+1)
	}
	return out
}

func (j *rotorJSON) sensors(n *Inspection) {
	for i, b := range n.Rotor.Shaft.Borders {
		if math.IsNaN(b.PlaceDeg) {
			continue
		}
		own := sensorPoles{Lead: hallKey(i)}
		for k, off := range b.OffDeg {
			own.Poles = append(own.Poles, sensorPoleRow{known(off.Value, 2), significant(off.SD), known(poleWidth(b, n.Spin.Sensors[i], k), 2), b.Seen[k], b.Expected[k]})
		}
		j.Poles = append(j.Poles, own)
	}
}
