package main

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox"
	"arctally/analyze/finding"
	"arctally/analyze/pass"
	"arctally/cmd/internal/jobfile/jobtest"
)

// segmentJob is the demo's job in a short bore, laid in strokes that begin where
// the keyway ends.
func segmentJob(t *testing.T, pattern, length string, changes ...string) string {
	t.Helper()
	return jobtest.Folder(t, append([]string{
		jobtest.DemoPattern, "pattern: " + pattern, "length: 60 mm", length, "start_angle: 0 deg", "start_angle: 116 deg",
	}, changes...)...)
}

// checkCourses wants every pass to stand in the plan's order.
func (r *repair) checkCourses(t *testing.T) {
	t.Helper()
	for k, truth := range r.truth.Passes {
		course := r.passes.Passes[k].Course
		require.NotNil(t, course)
		want := pass.Complete
		if k+1 < len(r.truth.Passes) && r.truth.Passes[k+1].Resumes == truth.Number {
			want = pass.Interrupted
		}
		assert.Equal(t, string(want), course.State, "pass %d", truth.Number)
		if truth.Resumes == 0 {
			assert.Nil(t, course.Resumes, "pass %d", truth.Number)
		} else if assert.NotNil(t, course.Resumes, "pass %d", truth.Number) {
			assert.Equal(t, truth.Resumes, *course.Resumes)
			assert.InDelta(t, 0, *course.Off, placeTolerance)
		}
		count := math.Pi * float64(truth.Diameter) / 360
		off := *r.passes.Passes[k].Travel*1e-3 - float64(truth.Path)
		assert.LessOrEqual(t, math.Abs(off), 1.2*count, "path of pass %d, in m", truth.Number)
		t.Logf("pass %d: path off by %.2f counts, %.2f %%", truth.Number, off/count, 100*off/float64(truth.Path))
	}
}

func TestEndToEnd_Strokes(t *testing.T) {
	for _, pattern := range []string{"segment-reversing", "segment-one-way"} {
		t.Run(pattern, func(t *testing.T) {
			r := recordRepair(t, segmentJob(t, pattern, jobtest.ThreeTurns), nil)
			require.Len(t, r.truth.Passes, 6)
			r.checkPasses(t)
			r.checkCourses(t)
			assert.Empty(t, r.findings.Findings)
			for k, truth := range r.truth.Passes {
				p := r.passes.Passes[k]
				assert.InDelta(t, 1, *p.PlannedArcOn, 1e-9)
				assert.InDelta(t, 1, *p.ArcOnRatio, 1e-3, "the cold return lies between the strokes")
				assert.InEpsilon(t, math.Pi*float64(truth.Diameter)*0.9*1e3, *p.Travel, 0.02)
			}
		})
	}
}

func TestEndToEnd_StrokesInTwoSegments(t *testing.T) {
	job := segmentJob(t, "segment-reversing", "length: 6 mm", "{from: 80 deg, to: 116 deg}", "{from: 80 deg, to: 116 deg}, {from: 230 deg, to: 260 deg}")
	r := recordRepair(t, job, nil)
	require.Len(t, r.truth.Passes, 8)
	r.checkPasses(t)
	r.checkCourses(t)
	assert.Empty(t, r.findings.Findings)
}

func TestEndToEnd_FaultsInStrokes(t *testing.T) {
	r := recordRepair(t, segmentJob(t, "segment-reversing", jobtest.ThreeTurns), []sensorbox.Fault{
		{Kind: sensorbox.ArcOut, Pass: 2, Turn: 1, From: 200, Duration: 2},
		{Kind: sensorbox.GasLoss, Pass: 3, Turn: 1, From: 150, Duration: 4},
		{Kind: sensorbox.WireSlip, Pass: 6, Turn: 1, From: 250, Duration: 4},
	})
	require.Len(t, r.truth.Faults, 3)
	r.checkPasses(t)
	r.checkFindings(t)
	r.checkEvents(t)
}

func TestEndToEnd_Interruptions(t *testing.T) {
	for pattern, job := range map[string]string{
		"helix": jobtest.Short(t, "helix", jobtest.FourTurns), "rings": jobtest.Short(t, "rings", jobtest.ThreeTurns),
		"segment-reversing": segmentJob(t, "segment-reversing", jobtest.ThreeTurns),
	} {
		t.Run(pattern, func(t *testing.T) {
			r := recordRepair(t, job, []sensorbox.Fault{{Kind: sensorbox.Interruption, Pass: 1, Turn: 1, From: 250, Duration: 20}})
			require.Equal(t, 1, r.truth.Passes[1].Resumes)
			r.checkPasses(t)
			r.checkCourses(t)
			r.checkFindings(t)
			r.checkEvents(t)
			require.Len(t, r.findings.Findings, 1)
			assert.Equal(t, string(finding.Interrupted), r.findings.Findings[0].Rule)
			assert.InDelta(t, 1e3*float64(r.truth.Faults[0].Depth), *r.findings.Findings[0].Depth, 0.1)
		})
	}
}
