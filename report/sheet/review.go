package sheet

import (
	"arctally/analyze/bore"
)

// Review is all that a page shows of a job, in one value.
type Review struct {
	Record      string         `json:"record"`
	Job         string         `json:"job"`
	Procedure   string         `json:"procedure"`
	Fingerprint string         `json:"fingerprint"`
	Banner      Banner         `json:"banner"` // the worst truth first
	Verdict     VerdictWords   `json:"verdict"`
	Facts       []FactGroup    `json:"facts"`
	Window      []WindowRow    `json:"window"`
	Passes      PassList       `json:"passes"`
	Findings    FindingList    `json:"findings"`
	Map         *MapObject     `json:"map"` // null where there is no bore to unroll
	Machining   []MachiningRow `json:"machining"`
	Warnings    []WarningRow   `json:"warnings"`
	Missing     []string       `json:"missing"` // what would prove what is not proved
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
		Banner: s.Banner(Metric), Verdict: verdictWords(s), Facts: s.FactGroups(Metric), Window: s.Window(Metric), Passes: s.PassList(), Findings: s.FindingList(),
		Machining: machiningRows(&s.Book), Warnings: warningRows(s.Warnings), Missing: s.MissingLines(),
	}
	if s.Wall != nil {
		r.Map = s.mapObject(bore.DefaultEccentricity)
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
