package sheet

import (
	"slices"
	"strings"

	"arctally/acquire/calib"
	"arctally/analyze/proof"
)

// In is the sheet with all of its sentences in the units of a reader. Its values are what they were. JSON
// is written of a sheet as it is: metric throughout, figures and sentences.
func (s *Sheet) In(u Units) *Sheet {
	if u == Metric {
		return s
	}
	read := *s
	read.units = u
	read.Findings, read.Warnings, read.Checks = slices.Clone(s.Findings), slices.Clone(s.Warnings), slices.Clone(s.Checks)
	for k := range read.Findings {
		read.Findings[k].Sentence = u.Words(read.Findings[k].Sentence)
	}
	read.Events = read.eventsOf()
	for k := range read.Events {
		read.Events[k].Sentence = u.Words(read.Events[k].Sentence)
	}
	for k := range read.Warnings {
		read.Warnings[k].Text = u.Words(read.Warnings[k].Text)
	}
	for k := range read.Checks {
		read.Checks[k] = u.Check(read.Checks[k])
	}
	read.Proof = u.proof(&s.Proof)
	return &read
}

// Check is a set-up check with its sentences in the units of a reader. That of a channel in degC stays: its
// correction holds for readings in degC, and its doubts are differences.
func (u Units) Check(c *calib.Check) *calib.Check {
	if u == Metric || strings.Contains(c.Sentence, "degC") {
		return c
	}
	read := *c
	read.Sentence = u.Words(c.Sentence)
	read.Notes = u.all(c.Notes)
	return &read
}

func (u Units) all(sentences []string) []string {
	read := slices.Clone(sentences)
	for k := range read {
		read[k] = u.Words(read[k])
	}
	return read
}

func (u Units) proof(p *proof.Proof) proof.Proof {
	read := *p
	read.Claim, read.Rule = u.Words(p.Claim), u.Words(p.Rule)
	read.Passes, read.Missing = slices.Clone(p.Passes), slices.Clone(p.Missing)
	for k := range read.Passes {
		read.Passes[k].Reasons = u.reasons(read.Passes[k].Reasons)
		read.Passes[k].Remarks = u.reasons(read.Passes[k].Remarks)
	}
	for k := range read.Missing {
		read.Missing[k].Remedy = u.Words(read.Missing[k].Remedy)
	}
	return read
}

func (u Units) reasons(all []proof.Reason) []proof.Reason {
	read := slices.Clone(all)
	for k := range read {
		read[k].Text = u.Words(read[k].Text)
	}
	return read
}
