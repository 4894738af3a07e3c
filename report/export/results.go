package export

import (
	"fmt"

	"github.com/influxdata/line-protocol/v2/lineprotocol"

	"arctally/report/sheet"
)

// results writes the passes and findings under the field names of the JSON.
func (l *lines) results(s *sheet.Sheet) error {
	for k, row := range s.PassList().Passes {
		if err := l.pass(s, k, row); err != nil {
			return err
		}
	}
	for k, row := range s.FindingList().Findings {
		if err := l.finding(s, k, row); err != nil {
			return err
		}
	}
	return nil
}

func (l *lines) pass(s *sheet.Sheet, k int, row sheet.PassRow) error {
	start, ok := s.PassStart(k)
	if !ok {
		return fmt.Errorf("pass %d: %w", row.Number, ErrNoWallTime)
	}
	l.start("pass")
	l.tag("job", l.job)
	l.optionalTag("pattern", row.Pattern)
	l.int("number", int64(row.Number))
	l.optionalInt("layer", row.Layer)
	for _, f := range passFields(row) {
		l.optional(f.key, f.value)
	}
	l.optionalString("power_basis", row.PowerBasis)
	l.optionalString("travel_basis", row.TravelBasis)
	l.optional("angle_uncertainty_deg", row.AngleUncertainty)
	l.optionalString("angle_basis", row.AngleBasis)
	l.optionalString("verdict", row.Verdict)
	l.int("findings", int64(row.Findings))
	return l.end(start)
}

type field struct {
	key   string
	value *float64
}

func passFields(row sheet.PassRow) []field {
	return []field{
		{"elapsed_s", row.Elapsed},
		{"arc_time_s", row.ArcTime},
		{"arc_on_ratio", row.ArcOnRatio},
		{"planned_arc_on_ratio", row.PlannedArcOn},
		{"voltage_mean_v", row.VoltageMean},
		{"current_mean_a", row.CurrentMean},
		{"power_mean_w", row.PowerMean},
		{"energy_j", row.Energy},
		{"wire_m", row.Wire},
		{"deposit_g", row.Deposit},
		{"turns", row.Turns},
		{"travel_mm", row.Travel},
		{"travel_speed_mm_min", row.TravelSpeed},
		{"arc_energy_kj_per_mm", row.ArcEnergy},
		{"heat_input_kj_per_mm", row.HeatInput},
		{"heat_input_expanded_uncertainty_kj_per_mm", row.ExpandedUncertainty},
		{"gap_s", row.GapTime},
	}
}

func (l *lines) finding(s *sheet.Sheet, k int, row sheet.FindingRow) error {
	start, ok := s.FindingStart(k)
	if !ok {
		return fmt.Errorf("finding %d: %w", row.Number, ErrNoWallTime)
	}
	l.start("finding")
	l.tag("job", l.job)
	l.tag("rule", row.Rule)
	l.tag("unit", row.Unit)
	l.int("number", int64(row.Number))
	l.int("event", int64(row.Event))
	l.int("pass", int64(row.Pass))
	l.optionalInt("layer", row.Layer)
	l.optional("angle_deg", row.Angle)
	l.optional("angle_uncertainty_deg", row.AngleUncertainty)
	l.optional("depth_mm", row.Depth)
	l.optional("duration_s", row.Duration)
	l.optional("worst", row.Worst)
	l.optional("limit", row.Limit)
	l.optional("beyond", row.Beyond)
	l.optionalString("sentence", &row.Sentence)
	l.optionalString("state", &row.State)
	l.int("epoch", int64(row.Epoch))
	l.int("tick_ns", row.TickNS)
	return l.end(start)
}

func (l *lines) optional(key string, v *float64) {
	if v != nil {
		l.float(key, *v)
	}
}

func (l *lines) optionalInt(key string, v *int) {
	if v != nil {
		l.int(key, int64(*v))
	}
}

func (l *lines) optionalTag(key string, v *string) {
	if v != nil {
		l.tag(key, *v)
	}
}

func (l *lines) optionalString(key string, v *string) {
	if v == nil || *v == "" {
		return
	}
	if value, ok := lineprotocol.StringValue(*v); ok {
		l.enc.AddField(key, value)
	}
}
