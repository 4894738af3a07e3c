package sheet

import (
	"encoding/json"
	"fmt"
	"io"
	"time"

	"arctally/acquire/calib"
)

// PassRow is one pass in trade units; null is not known.
type PassRow struct {
	Number              int      `json:"number"`
	Layer               *int     `json:"layer"`
	Pattern             *string  `json:"pattern"`
	Start               *string  `json:"start"` // RFC 3339, six decimals, UTC
	End                 *string  `json:"end"`
	Epoch               int      `json:"epoch"` // with the ticks: where in the samples, dated or not
	StartTick           int64    `json:"start_tick_ns"`
	EndTick             int64    `json:"end_tick_ns"`
	StartAngle          *float64 `json:"start_angle_deg"` // where the torch stood as the pass began
	StartDepth          *float64 `json:"start_depth_mm"`
	EndAngle            *float64 `json:"end_angle_deg"`         // and as it ended
	AngleUncertainty    *float64 `json:"angle_uncertainty_deg"` // expanded, k = 2, the worse of the two
	AngleBasis          *string  `json:"angle_basis"`
	AngleBy             *string  `json:"angle_by"` // the same in words, with who and when
	Elapsed             *float64 `json:"elapsed_s"`
	ArcTime             *float64 `json:"arc_time_s"`
	ArcOnRatio          *float64 `json:"arc_on_ratio"`
	PlannedArcOn        *float64 `json:"planned_arc_on_ratio"`
	VoltageMean         *float64 `json:"voltage_mean_v"`
	CurrentMean         *float64 `json:"current_mean_a"`
	PowerMean           *float64 `json:"power_mean_w"`
	PowerBasis          *string  `json:"power_basis"`
	Energy              *float64 `json:"energy_j"`
	Wire                *float64 `json:"wire_m"`
	Deposit             *float64 `json:"deposit_g"`
	Turns               *float64 `json:"turns"`
	Travel              *float64 `json:"travel_mm"`
	TravelSpeed         *float64 `json:"travel_speed_mm_min"`
	TravelBasis         *string  `json:"travel_basis"`
	ArcEnergy           *float64 `json:"arc_energy_kj_per_mm"`
	HeatInput           *float64 `json:"heat_input_kj_per_mm"`
	ExpandedUncertainty *float64 `json:"heat_input_expanded_uncertainty_kj_per_mm"`
	Verdict             *string  `json:"verdict"`
	GapTime             *float64 `json:"gap_s"`
	Findings            int      `json:"findings"`

	EndedBy string `json:"ended_by,omitempty"` // who ended the pass by hand

	Course  *CourseRow  `json:"course"`
	AtStart *AtStartRow `json:"at_start"`

	Waveform *WaveformRow `json:"waveform"`

	Rotation *RotationRow `json:"rotation,omitempty"`

	Uncertainty *UncertaintyRow `json:"uncertainty"`
}

// FindingRow is one finding; worst, limit and beyond are in Unit.
type FindingRow struct {
	Number           int      `json:"number"`
	Rule             string   `json:"rule"`
	Pass             int      `json:"pass"`
	Layer            *int     `json:"layer"`
	Angle            *float64 `json:"angle_deg"`
	AngleUncertainty *float64 `json:"angle_uncertainty_deg"` // expanded, k = 2
	Depth            *float64 `json:"depth_mm"`
	Start            *string  `json:"start"`
	Epoch            int      `json:"epoch"` // with TickNS: where in the samples, dated or not
	TickNS           int64    `json:"tick_ns"`
	Duration         *float64 `json:"duration_s"`
	Worst            *float64 `json:"worst"`
	Limit            *float64 `json:"limit"`
	Beyond           *float64 `json:"beyond"`
	Unit             string   `json:"unit"`
	Parts            []int    `json:"parts,omitempty"`   // numbers of the findings that this one is about
	PartOf           int      `json:"part_of,omitempty"` // number of the finding that sums this one up
	Event            int      `json:"event,omitempty"`   // number of the event that it belongs to
	Way              *float64 `json:"way_deg"`           // how far the torch turned meanwhile, anti-clockwise below 0
	Whole            bool     `json:"whole_pass"`        // it concerns a whole pass, and has no angle
	Sentence         string   `json:"sentence"`
	State            string   `json:"state"` // open, until a person records a disposition

	Disposition *DispositionRow `json:"disposition,omitempty"`
}

// WarningRow is one doubt about the measurement.
type WarningRow struct {
	Kind  string  `json:"kind"`
	Pass  *int    `json:"pass"`
	Start *string `json:"start"`
	End   *string `json:"end"`
	Count int64   `json:"count"`
	Text  string  `json:"text"`
}

// PassList is the object of "passes --json".
type PassList struct {
	Record     string    `json:"record"`
	Job        string    `json:"job"`
	Procedure  string    `json:"procedure"`
	Definition string    `json:"definition"` // what the procedure means by heat input
	Rule       string    `json:"decision_rule"`
	Passes     []PassRow `json:"passes"`
	// Checks are the set-up checks on record.
	Checks   []*calib.Check `json:"checks,omitempty"`
	Warnings []WarningRow   `json:"warnings"`
	TypedIn  []TypedRow     `json:"typed_in,omitempty"`
	ByAngle  []SweepRow     `json:"by_angle,omitempty"`
}

// FindingList is the object of "findings --json".
type FindingList struct {
	Record    string       `json:"record"`
	Job       string       `json:"job"`
	Procedure string       `json:"procedure"`
	Findings  []FindingRow `json:"findings"`
	Events    []EventRow   `json:"events"` // the findings by their causes
	Warnings  []WarningRow `json:"warnings"`
	// Orphans were decided on, but this judgement does not have them.
	Orphans   []FindingRow   `json:"orphans,omitempty"`
	Machining []MachiningRow `json:"machining,omitempty"`
}

// PassList returns the passes as rows.
func (s *Sheet) PassList() PassList {
	list := PassList{
		Record: s.Record, Job: s.Job.Name, Procedure: s.Job.Procedure.Name,
		Definition: string(s.Job.Procedure.Judge.Definition), Rule: s.Proof.Rule,
		Passes: make([]PassRow, 0, len(s.Passes)), Warnings: warningRows(s.Warnings), Checks: ChecksIn(s.Checks, time.UTC), TypedIn: s.typedRows(),
		ByAngle: sweepRows(s.Sweeps),
	}
	for i := range s.Passes {
		list.Passes = append(list.Passes, s.passRow(i))
	}
	return list
}

func (s *Sheet) passRow(k int) PassRow {
	row := s.Passes[k].row()
	row.Uncertainty = s.uncertaintyRow(k)
	row.StartAngle, row.StartDepth = PlaceOf(s.Passes[k].StartPlace)
	row.EndAngle, _ = PlaceOf(s.Passes[k].EndPlace)
	return row
}

// FindingList returns the findings as rows.
func (s *Sheet) FindingList() FindingList {
	list := FindingList{
		Record: s.Record, Job: s.Job.Name, Procedure: s.Job.Procedure.Name,
		Findings: make([]FindingRow, 0, len(s.Findings)), Events: s.eventRows(), Warnings: warningRows(s.Warnings),
		Orphans: orphanRows(&s.Book), Machining: machiningRows(&s.Book),
	}
	for i := range s.Findings {
		list.Findings = append(list.Findings, s.findingRow(i))
	}
	return list
}

// PassesJSON writes the pass list as JSON, in full precision.
func (s *Sheet) PassesJSON(w io.Writer) error { return writeJSON(w, s.PassList()) }

// FindingsJSON writes the finding list as JSON, in full precision.
func (s *Sheet) FindingsJSON(w io.Writer) error { return s.ChosenJSON(w, Choice{}) }

// ChosenJSON writes the findings that are chosen as JSON, in full precision.
func (s *Sheet) ChosenJSON(w io.Writer, c Choice) error { return writeJSON(w, s.ChosenList(c)) }

// JSON writes the whole sheet as JSON: the pass list with the findings in it.
func (s *Sheet) JSON(w io.Writer) error {
	return writeJSON(w, struct {
		PassList
		Findings  []FindingRow   `json:"findings"`
		Events    []EventRow     `json:"events"`
		Orphans   []FindingRow   `json:"orphans,omitempty"`
		Machining []MachiningRow `json:"machining,omitempty"`
	}{s.PassList(), s.FindingList().Findings, s.eventRows(), orphanRows(&s.Book), machiningRows(&s.Book)})
}

func writeJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(v); err != nil {
		return fmt.Errorf("write JSON: %w", err)
	}
	return nil
}
