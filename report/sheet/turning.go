package sheet

import (
	"arctally/analyze/byangle"
	"arctally/analyze/rotation"
)

// RotationRow is how fast the torch turned in a pass, and how that is known.
type RotationRow struct {
	Speed               *float64 `json:"speed_rpm"`
	ExpandedUncertainty *float64 `json:"expanded_uncertainty_rpm"` // k = 2
	Declared            *float64 `json:"declared_rpm"`
	Basis               string   `json:"basis"` // measured, derived, declared
	From                string   `json:"from"`  // turn counts, gap rhythm, current rhythm, plan
	Wander              *float64 `json:"wander_deg"`
	Searched            *float64 `json:"searched_turns"`
}

// SweepRow is what the arc does by angle, in one layer or one pass.
type SweepRow struct {
	Layer     *int      `json:"layer"`
	First     int       `json:"first_pass"`
	Last      int       `json:"last_pass"`
	Turns     *float64  `json:"turns"`
	Basis     string    `json:"basis"`
	OffCentre *SwingRow `json:"once_a_turn"`
	Oval      *SwingRow `json:"twice_a_turn"`
	Moved     *float64  `json:"moved_percent"`
	Shifted   bool      `json:"moved_beyond_noise"`
	ByTurn    []BinRow  `json:"by_turn"`
	Bins      []BinRow  `json:"bins"` // of 5 degrees; left out where there was no arc
}

// SwingRow is a harmonic of the current; nil where too little was welded to tell.
type SwingRow struct {
	Found               bool     `json:"found"`
	Amplitude           *float64 `json:"amplitude_percent"`
	ExpandedUncertainty *float64 `json:"expanded_uncertainty_percent"` // k = 2
	Least               *float64 `json:"detectable_percent"`
	Chance              *float64 `json:"chance_of_noise"`
	Crest               *float64 `json:"crest_deg"`
	CrestUncertainty    *float64 `json:"crest_expanded_uncertainty_deg"` // k = 2
	Distance            *float64 `json:"tip_to_work_mm"`                 // from mean to crest
	DistanceUncertainty *float64 `json:"tip_to_work_expanded_uncertainty_mm"`
}

// BinRow is the means of a part of a turn, or of a turn.
type BinRow struct {
	Angle     *float64 `json:"angle_deg,omitempty"` // its middle
	Turn      int      `json:"turn,omitempty"`
	ArcTime   *float64 `json:"arc_time_s"`
	Voltage   *float64 `json:"voltage_v"`
	Current   *float64 `json:"current_a"`
	Power     *float64 `json:"power_w"`
	WireSpeed *float64 `json:"wire_speed_m_min"`
}

// rotationRow is nil where nothing turns.
func rotationRow(r rotation.Account) *RotationRow {
	if r.Speed == 0 {
		return nil
	}
	row := &RotationRow{Speed: In(&r.Speed, "rpm"), Basis: string(r.Basis), From: string(r.From)}
	if r.Uncertainty > 0 {
		row.ExpandedUncertainty = In(new(2*r.Uncertainty), "rpm")
	}
	if r.Declared > 0 {
		row.Declared = In(&r.Declared, "rpm")
	}
	if r.Wander > 0 {
		row.Wander = Plain(&r.Wander)
	}
	if r.Searched > 0 {
		row.Searched = Known(r.Searched)
	}
	return row
}

func sweepRows(sweeps []byangle.Sweep) []SweepRow {
	rows := make([]SweepRow, 0, len(sweeps))
	for k := range sweeps {
		rows = append(rows, sweepRow(&sweeps[k]))
	}
	return rows
}

func sweepRow(s *byangle.Sweep) SweepRow {
	row := SweepRow{
		Layer: positive(s.Layer), First: s.First, Last: s.Last, Turns: Known(s.Turns), Basis: string(s.Basis),
		OffCentre: swingRow(s.OffCentre), Oval: swingRow(s.Oval), Shifted: s.Shifted,
		ByTurn: []BinRow{}, Bins: []BinRow{},
	}
	if s.Moved > 0 {
		row.Moved = In(&s.Moved, "%")
	}
	for _, t := range s.ByTurn {
		if t.ArcTime > 0 {
			b := binRow(t.Bin)
			b.Turn = t.Number
			row.ByTurn = append(row.ByTurn, b)
		}
	}
	for k, one := range s.Bins {
		if one.ArcTime > 0 {
			b := binRow(one)
			b.Angle = Known((float64(k) + 0.5) * 360 / byangle.Bins)
			row.Bins = append(row.Bins, b)
		}
	}
	return row
}

func swingRow(s byangle.Swing) *SwingRow {
	if !s.Known {
		return nil
	}
	row := &SwingRow{
		Found: s.Found, Amplitude: In(&s.Amplitude, "%"), ExpandedUncertainty: In(new(2*s.Uncertainty), "%"),
		Least: In(&s.Least, "%"), Chance: Known(s.Chance), Distance: In(s.Distance, "mm"),
	}
	if s.Found {
		row.Crest, row.CrestUncertainty = Plain(&s.Crest), Plain(new(2*s.CrestDoubt))
	}
	if s.DistanceDoubt != nil {
		row.DistanceUncertainty = In(new(2**s.DistanceDoubt), "mm")
	}
	return row
}

func binRow(b byangle.Bin) BinRow {
	row := BinRow{ArcTime: Plain(&b.ArcTime), Voltage: Plain(&b.Voltage), Current: Plain(&b.Current), Power: Plain(&b.Power)}
	if b.WireSpeed > 0 {
		row.WireSpeed = In(&b.WireSpeed, "m/min")
	}
	return row
}
