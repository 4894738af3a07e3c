package sheet

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"

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

// Check is a set-up check with its sentences in the units of a reader.
func (u Units) Check(c *calib.Check) *calib.Check {
	if u == Metric {
		return c
	}
	read := *c
	read.Sentence = u.Words(inFahrenheit(c.Sentence))
	read.Notes = u.all(c.Notes)
	return &read
}

// What the sentence of a check of a channel in degC says of a line and of a difference; any other value in it
// is a point of the scale.
var (
	lineInCelsius  = regexp.MustCompile(`reading \* (\S+) ([+-]\S+) degC`)
	doubtInCelsius = regexp.MustCompile(`uncertainty is (\S+) degC \(.*?%\)`)
)

// inFahrenheit says the line of a check for readings in degF, and its doubt. With f = 9/5 c + 32 a line
// c' = g c + o becomes
//
//	f' = g f + 9/5 o + 32 (1 - g),  c and o in degC, f in degF
//
// and a difference is 9/5 of what it was. A doubt in per cent of degC says nothing of one in per cent of degF, and is left out.
func inFahrenheit(sentence string) string {
	sentence = lineInCelsius.ReplaceAllStringFunc(sentence, func(said string) string {
		part := lineInCelsius.FindStringSubmatch(said)
		gain, offset := printed(part[1]), printed(part[2])
		return fmt.Sprintf("reading * %s %+.3g degF", part[1], 9*offset/5+32*(1-gain))
	})
	return doubtInCelsius.ReplaceAllStringFunc(sentence, func(said string) string {
		return fmt.Sprintf("uncertainty is %.2g degF", 9*printed(doubtInCelsius.FindStringSubmatch(said)[1])/5)
	})
}

// printed reads a number that this program printed.
func printed(text string) float64 {
	v, _ := strconv.ParseFloat(text, 64)
	return v
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
