package main

import (
	"path/filepath"
	"testing"

	"arctally/cmd/internal/jobfile"
)

// TestPlans compares what plan prints of the jobs with what lies beside them, to
// the last byte.
func TestPlans(t *testing.T) {
	for _, job := range []string{"demo", "us-units"} {
		folder := filepath.Join("../../testdata/job", job)
		file := filepath.Join(folder, jobfile.Document)
		compareGolden(t, filepath.Join(folder, "plan.txt"), printed(t, "plan", file))
		compareGolden(t, filepath.Join(folder, "plan-us.txt"), printed(t, "plan", file, "--us"))
		compareGolden(t, filepath.Join(folder, "plan.json"), printed(t, "plan", file, "--json"))
	}
}
