package main

import (
	"arctally/analyze"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
)

// finished ends a recording or an import: it says what there is, and where to read on.
func finished(s *terminal.Screen, file string, result analyze.Result) error {
	err := s.Printf("%s: passes: %d, findings: %d, warnings: %d\n", file, len(result.Passes), len(result.Findings), len(result.Warnings))
	open := 0
	if err == nil {
		open, err = review.OpenFindings(file, result.Findings)
	}
	switch {
	case err != nil:
		return err
	case open > 0:
		s.Tell("hint: arctally findings %s", file)
		return explain.ErrFindingsOpen
	default:
		s.Tell("hint: arctally passes %s", file)
		return nil
	}
}
