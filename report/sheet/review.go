package sheet

import (
	"math"
	"slices"

	"arctally/analyze/bore"
)

// Review is what a page shows of a whole job at first. It grows with the job by a few
// bytes a pass, a finding and a cell: the rows of passes, what stands in a cell, and what
// was found in a pass are asked for as a person looks at them.
type Review struct {
	Record      string         `json:"record"`
	Job         string         `json:"job"`
	Procedure   string         `json:"procedure"`
	Fingerprint string         `json:"fingerprint"`
	Banner      Banner         `json:"banner"` // the worst truth first
	Verdict     VerdictWords   `json:"verdict"`
	Facts       []FactGroup    `json:"facts"`
	Window      []WindowRow    `json:"window"`
	Passes      []PassName     `json:"passes"`
	Angles      []AngleLine    `json:"angles"`  // what the angles of the passes rest on
	Events      []EventMark    `json:"events"`  // all of them, as the wall marks them
	Extents     []Extent       `json:"extents"` // of the findings that have a place
	Map         *WallMap       `json:"map"`     // null where there is no bore to unroll
	Machining   []MachiningRow `json:"machining"`
	Warnings    []WarningRow   `json:"warnings"`
	Missing     []string       `json:"missing"` // what would prove what is not proved
}

// PassName is which pass is meant.
type PassName struct {
	Number int  `json:"number"`
	Layer  *int `json:"layer"`
}

// AngleLine is what the angles of some passes rest on.
type AngleLine struct {
	By          string   `json:"by"`
	Uncertainty *float64 `json:"uncertainty_deg"` // expanded, of the pass known least; null where one is not known
	Passes      []int    `json:"passes"`          // their numbers; null is all of the job
}

// EventMark is what marks an event on the wall, or why it stands nowhere on it.
type EventMark struct {
	Number int      `json:"number"`
	State  string   `json:"state"`
	Angle  *float64 `json:"angle_deg"`
	Depth  *float64 `json:"depth_mm"`
	Whole  bool     `json:"whole_passes"`
	Spread bool     `json:"spread"`
}

// Extent is how far a finding went on along the bead, as fine as a screen shows it.
type Extent struct {
	Angle float64 `json:"angle_deg"`
	Depth float64 `json:"depth_mm"`
	Way   float64 `json:"way_deg"`
}

// VerdictWords are the answer of a job in words. It flags; it never accepts.
type VerdictWords struct {
	Headline  string   `json:"headline"`
	Sentences []string `json:"sentences"`
	State     string   `json:"state"` // within, near, nearout, outside, unjudged: the worst thing in the job
	Open      int      `json:"open_findings"`
	Events    int      `json:"open_events"`
}

// Review returns what a page shows of the job, in metric units: a page converts.
func (s *Sheet) Review() Review {
	r := Review{
		Record: s.Record, Job: s.Job.Name, Procedure: s.Job.Procedure.Name, Fingerprint: s.Fingerprint,
		Banner: s.Banner(Metric), Verdict: verdictWords(s), Facts: s.FactGroups(Metric), Window: s.Window(Metric),
		Passes: s.passNames(), Angles: s.angleLines(), Events: s.eventMarks(), Extents: s.extents(),
		Machining: machiningRows(&s.Book), Warnings: warningRows(s.Warnings), Missing: s.MissingLines(),
	}
	if s.Wall != nil {
		r.Map = s.wallMap()
	}
	return r
}

func verdictWords(s *Sheet) VerdictWords {
	v := VerdictWords{Headline: s.Headline(), State: s.Sign(), Open: s.Book.Open(), Events: s.Book.OpenEvents()}
	for _, one := range s.Verdicts() {
		if one.Passes > 0 {
			v.Sentences = append(v.Sentences, Plural(one.Passes, "pass", "passes")+" "+one.Sentence+".")
		}
	}
	v.Sentences = append(v.Sentences, s.ProofSummary(), s.FindingsLine())
	if s.Wall != nil {
		v.Sentences = append(v.Sentences, s.CleanUp(bore.DefaultEccentricity, Metric).Answer)
	}
	return v
}

func (s *Sheet) passNames() []PassName {
	names := make([]PassName, 0, len(s.Passes))
	for k := range s.Passes {
		names = append(names, s.Passes[k].name())
	}
	return names
}

func (p *Pass) name() PassName { return PassName{p.Number, positive(p.Layer)} }

// angleLines are a line for each basis, in the order in which they are met.
func (s *Sheet) angleLines() []AngleLine {
	lines := []AngleLine{}
	for k := range s.Passes {
		p := &s.Passes[k]
		if p.AngleBy == "" {
			continue
		}
		doubt := p.AngleUncertainty()
		at := slices.IndexFunc(lines, func(l AngleLine) bool { return l.By == p.AngleBy })
		if at < 0 {
			lines = append(lines, AngleLine{p.AngleBy, doubt, []int{p.Number}})
			continue
		}
		l := &lines[at]
		l.Passes = append(l.Passes, p.Number)
		if l.Uncertainty != nil && (doubt == nil || *doubt > *l.Uncertainty) {
			l.Uncertainty = doubt
		}
	}
	if len(lines) == 1 && len(lines[0].Passes) == len(s.Passes) {
		lines[0].Passes = nil
	}
	return lines
}

func (s *Sheet) eventMarks() []EventMark {
	marks := make([]EventMark, 0, len(s.Events))
	for k := range s.Events {
		row := s.Events[k].row()
		marks = append(marks, EventMark{row.Number, row.State, row.Angle, row.Depth, row.Whole, row.Spread})
	}
	return marks
}

// extents are to a hundredth: a tenth of a pixel on the widest screen.
func (s *Sheet) extents() []Extent {
	list := []Extent{}
	for k := range s.Findings {
		f := &s.Findings[k]
		angle, depth := PlaceOf(f.Place)
		if way := Plain(f.Way); angle != nil && depth != nil && way != nil {
			list = append(list, Extent{hundredth(*angle), hundredth(*depth), hundredth(*way)})
		}
	}
	return list
}

func hundredth(v float64) float64 { return math.Round(100*v) / 100 }
