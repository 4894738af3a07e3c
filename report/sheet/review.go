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
}

// Review returns what a page shows of the job.
func (s *Sheet) Review() Review {
	r := Review{
		Record: s.record, Job: s.job.Name, Procedure: s.job.Procedure.Name, Fingerprint: s.fingerprint,
		Verdict: s.verdictWords(), Facts: s.cover(), Window: s.windowLines(), Passes: s.PassList(), Findings: s.FindingList(),
		Machining: s.machiningRows(), Warnings: s.warningRows(), Missing: s.missingLines(),
	}
	if s.wall != nil {
		r.Map = s.mapObject(bore.DefaultEccentricity)
	}
	return r
}

func (s *Sheet) verdictWords() VerdictWords {
	v := VerdictWords{Headline: s.headline(), State: s.sign(), Open: s.openFindings()}
	for _, c := range s.verdictCounts() {
		if c.Count > 0 {
			v.Sentences = append(v.Sentences, plural(c.Count, "pass", "passes")+" "+c.Words+".")
		}
	}
	v.Sentences = append(v.Sentences, s.proofSummary(), s.findingsLine())
	if s.wall != nil {
		v.Sentences = append(v.Sentences, s.cleanUpAnswer())
	}
	return v
}

// cleanUpAnswer is whether the bore will clean up, in one sentence.
func (s *Sheet) cleanUpAnswer() string {
	answer, _, _ := cleanUpLines(s.wall.CleanUp(s.wall.NewAllowance(bore.DefaultEccentricity)), s.units)
	return answer
}
