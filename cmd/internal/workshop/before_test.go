package workshop

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/analyze"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/live"
)

// before asks what is missing before the job of a test is recorded.
func (s *site) before(record, job, port string) (b page.Begin) {
	s.t.Helper()
	s.ask(http.MethodGet, "/checks/"+record+"/before?job="+job+"&port="+port, http.StatusOK, nil, &b)
	return b
}

func says(points []page.Point) (all []string) {
	for _, p := range points {
		if p.About != page.AboutDisk { // which is as full as it is
			all = append(all, string(p.State)+" "+p.Says)
		}
	}
	return all
}

// TestBefore_IsWhatTheRecordWarnsOf: what a page names before the arc, and what somebody
// begins without knowingly, is what the record says afterwards.
func TestBefore_IsWhatTheRecordWarnsOf(t *testing.T) {
	s := serveFolder(t, filepath.Dir(jobtest.Short(t, "helix", jobtest.OneTurn)), Options{Box: &virtualbox.Options{Speed: boxSpeed, Layers: 1, Faults: virtualbox.NoFaults}})
	job := "job"
	b := s.before(job, job, "")
	assert.Equal(t, "Operator 1", b.Operator)
	require.Equal(t, []string{
		"missing zero of voltage: not checked", "missing zero of current: not checked", "missing wire speed: not checked", "missing torch in the middle of the bore: not checked",
		"missing voltage: not calibrated", "missing current: not calibrated", "missing travel speed: not calibrated",
	}, says(b.Points))

	without := []string{}
	for _, p := range b.Points {
		without = append(without, p.Says)
	}
	require.Equal(t, page.Started{Record: job}, s.start(page.StartRequest{Job: job, By: "Helper 2", Without: without}))
	require.Equal(t, live.Ended, s.until("the end", over).Phase)
	var house page.House
	s.ask(http.MethodGet, "/house", http.StatusOK, nil, &house)
	require.NotNil(t, house.Operator)
	assert.Equal(t, "Helper 2", *house.Operator, "who began is who was named last")
	sheet := s.review(job).Review
	var warned []string
	for _, w := range sheet.Warnings {
		warned = append(warned, w.Text)
	}
	all := strings.Join(warned, "\n")
	for _, words := range []string{"no calibration of voltage", "no calibration of current", "no calibration of travel", "zero of voltage, zero of current, wire-speed, centring"} {
		assert.Contains(t, all, words)
	}
	judged, err := review.Judge(t.Context(), filepath.Join(s.folder, job+jobfile.RecordExtension), "", func(float64) {})
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, judged.Close()) })
	require.NotEmpty(t, judged.Result.Notes)
	assert.Equal(t, "Helper 2", judged.Result.Notes[0].By)
	assert.Equal(t, "begun knowingly with: "+strings.Join(without, "; "), judged.Result.Notes[0].Text)
}

// TestBefore_NamesWhatStopsIt: a job that cannot be recorded is told of before anybody says start.
func TestBefore_NamesWhatStopsIt(t *testing.T) {
	s := serveFolder(t, filepath.Dir(jobtest.Short(t, "helix", jobtest.OneTurn)), Options{})
	stops := func(port string) (all []string) {
		for _, said := range says(s.before("job", "job", port).Points) {
			if strings.HasPrefix(said, "stops ") {
				all = append(all, said)
			}
		}
		return all
	}
	assert.Len(t, stops(""), 1, "the port of the job is not there")
	assert.Equal(t, []string{"stops sensor box on /dev/not-there: not plugged in"}, stops("/dev/not-there"))
	there := filepath.Join(s.folder, "port")
	require.NoError(t, os.WriteFile(there, nil, 0o600))
	assert.Empty(t, stops(there))
	s.refused(http.MethodGet, "/checks/job/before?job=another", http.StatusNotFound, nil)
}

// TestPointOf_SaysEachNeed: every need has words of its own, and says what it costs to go without.
func TestPointOf_SaysEachNeed(t *testing.T) {
	for _, c := range []struct {
		need  analyze.Need
		state page.PointState
		says  string
	}{
		{analyze.Need{Subject: calib.ZeroCheck, Channel: "voltage"}, page.Lacks, "zero of voltage: not checked"},
		{analyze.Need{Subject: calib.WireCheck, Channel: "wire_speed"}, page.Lacks, "wire speed: not checked"},
		{analyze.Need{Subject: calib.CentringCheck, Due: "2026-05-04"}, page.Doubts, "torch in the middle of the bore: was due to be checked on 2026-05-04"},
		{analyze.Need{Subject: calib.WireCheck, Channel: "wire_speed", Due: "2026-05-04"}, page.Doubts, "wire speed: was due to be checked on 2026-05-04"},
	} {
		p := pointOf(c.need)
		assert.Equal(t, c.says, p.Says)
		assert.Equal(t, c.state, p.State)
		assert.Equal(t, string(c.need.Subject), p.Kind)
		assert.NotEmpty(t, p.Hint)
	}
}

func TestLowOn(t *testing.T) {
	_, low := lowOn(leastDisk)
	assert.False(t, low)
	point, low := lowOn(leastDisk - 1e6)
	assert.True(t, low)
	assert.Equal(t, "free disk: 999 MB", point.Says)
}
