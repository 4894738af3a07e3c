package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox"
	"arctally/analyze/finding"
	"arctally/analyze/pass"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/sheet"
)

// How close the recorded answer must come to the truth.
const (
	energyTolerance  = 1e-3         // of the energy of a pass
	arcTimeTolerance = 2e-3         // s, for each arc interval
	placeTolerance   = 3.0          // degrees
	timeTolerance    = 1500_000_000 // ns, by which a finding may outlast its fault
)

// repair is one laid and recorded with the command, and read back with another.
type repair struct {
	truth    sensorbox.Truth
	passes   sheet.PassList
	findings sheet.FindingList
	record   string
}

// recordRepair has a box lay the job on a serial pair, as fast as it is read,
// and pulls the plug when it has said everything.
func recordRepair(t *testing.T, job string, faults []sensorbox.Fault) repair {
	t.Helper()
	if testing.Short() {
		t.Skip("it records a whole repair")
	}
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	box, err := sensorbox.New(virtualbox.Plan(p, 2, faults))
	require.NoError(t, err)
	name, err := box.Open()
	require.NoError(t, err)
	r := repair{record: filepath.Join(t.TempDir(), "repair.arctally")}
	played := make(chan error, 1)
	go func() {
		var err error
		r.truth, err = box.Play(t.Context())
		played <- err
		played <- box.Close()
	}()
	var printed bytes.Buffer
	status := run(t.Context(), []string{"record", job, "--port", name, "-o", r.record, "--patience", "100ms"}, &printed, &printed)
	require.NoError(t, <-played)
	require.NoError(t, <-played)
	require.Contains(t, []int{explain.Done, explain.Open}, status, printed.String())
	r.readBack(t, "passes", &r.passes)
	r.readBack(t, "findings", &r.findings)
	assert.Zero(t, run(t.Context(), []string{"verify", r.record}, io.Discard, &printed), printed.String())
	return r
}

func (r *repair) readBack(t *testing.T, command string, into any) {
	t.Helper()
	var printed, complaints bytes.Buffer
	status := run(t.Context(), []string{command, r.record, "--json"}, &printed, &complaints)
	require.Contains(t, []int{explain.Done, explain.Open}, status, complaints.String())
	require.NoError(t, json.Unmarshal(printed.Bytes(), into))
}

// checkPasses compares what was recorded with what was laid.
func (r *repair) checkPasses(t *testing.T) {
	t.Helper()
	require.Len(t, r.passes.Passes, len(r.truth.Passes))
	for k, truth := range r.truth.Passes {
		got := r.passes.Passes[k]
		require.NotNil(t, got.Energy)
		off := *got.Energy/float64(truth.Energy) - 1
		assert.LessOrEqual(t, math.Abs(off), energyTolerance, "energy of pass %d", truth.Number)
		late := *got.ArcTime - float64(truth.ArcTime)
		assert.LessOrEqual(t, math.Abs(late), arcTimeTolerance*float64(len(truth.Arcs)), "arc time of pass %d, s", truth.Number)
		assert.InDelta(t, truth.Turns, *got.Turns, 0.01, "turns of pass %d", truth.Number)
		assert.Equal(t, truth.Layer, *got.Layer, "layer of pass %d", truth.Number)
		t.Logf("pass %d: energy off by %.4f %%, arc time by %.3f ms in %d intervals", truth.Number, 100*off, 1e3*late, len(truth.Arcs))
	}
}

// rulesOf says which rule finds a fault.
var rulesOf = map[sensorbox.FaultKind]finding.Rule{
	sensorbox.ArcOut:        finding.ArcOut,
	sensorbox.GasLoss:       finding.GasFlow,
	sensorbox.WireSlip:      finding.WireSpeed,
	sensorbox.WrongVoltage:  finding.Voltage,
	sensorbox.RotationDrift: finding.TravelSpeed,
	sensorbox.Interruption:  finding.Interrupted,
}

// checkFindings wants each fault found at its place, and nothing else found.
func (r *repair) checkFindings(t *testing.T) {
	t.Helper()
	for _, truth := range r.truth.Faults {
		found := false
		for _, f := range r.findings.Findings {
			if f.Pass != truth.Pass || finding.Rule(f.Rule) != rulesOf[truth.Fault.Kind] || f.Angle == nil {
				continue
			}
			off := math.Abs(math.Remainder(*f.Angle-float64(truth.Angle), 360))
			t.Logf("%s: found %.2f degrees off", truth.Fault.Kind, off)
			found = found || off <= placeTolerance
		}
		assert.True(t, found, "%s of pass %d at %.1f degrees is not found there", truth.Fault.Kind, truth.Pass, truth.Angle)
	}
	for _, f := range r.findings.Findings {
		assert.True(t, r.belongs(f), "invented: pass %d, %s: %s", f.Pass, f.Rule, f.Sentence)
	}
}

// belongs reports whether a finding began during a fault, or judges the whole
// of a pass that had one.
func (r *repair) belongs(f sheet.FindingRow) bool {
	for _, truth := range r.truth.Faults {
		whole := finding.Rule(f.Rule) == finding.ArcOnRatio || finding.Rule(f.Rule) == finding.HeatInput
		during := f.TickNS >= truth.Start.Tick-timeTolerance && f.TickNS <= truth.End.Tick+timeTolerance
		if f.Pass == truth.Pass && (whole || during) {
			return true
		}
	}
	return false
}

func TestEndToEnd_Clean(t *testing.T) {
	for _, pattern := range []string{"helix", "rings"} {
		t.Run(pattern, func(t *testing.T) {
			r := recordRepair(t, jobtest.Short(t, pattern, jobtest.ThreeTurns), nil)
			r.checkPasses(t)
			assert.Empty(t, r.findings.Findings)
		})
	}
}

func TestEndToEnd_Faults(t *testing.T) {
	const all = "arc-out,gas-loss,wire-slip,wrong-voltage,rotation-drift"
	job := jobtest.Short(t, "helix", jobtest.FourTurns)
	faults, err := virtualbox.Faults(all, 2)
	require.NoError(t, err)
	r := recordRepair(t, job, faults)
	require.Len(t, r.truth.Faults, strings.Count(all, ",")+1)
	r.checkPasses(t)
	r.checkFindings(t)
	r.checkEvents(t)
}

func TestEndToEnd_FaultsInRings(t *testing.T) {
	job := jobtest.Short(t, "rings", jobtest.ThreeTurns)
	r := recordRepair(t, job, []sensorbox.Fault{
		{Kind: sensorbox.ArcOut, Pass: 2, Turn: 1, From: 200, Duration: 2},
		{Kind: sensorbox.GasLoss, Pass: 3, Turn: 1, From: 150, Duration: 4},
		{Kind: sensorbox.WireSlip, Pass: 6, Turn: 1, From: 250, Duration: 4},
	})
	require.Len(t, r.truth.Faults, 3)
	r.checkPasses(t)
	r.checkFindings(t)
	r.checkEvents(t)
}

// TestEndToEnd_LiveEqualsOffline compares to the bit what was judged while it
// was recorded with what the record is judged to be.
func TestEndToEnd_LiveEqualsOffline(t *testing.T) {
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.ThreeTurns))
	require.NoError(t, err)
	faults, err := virtualbox.Faults("arc-out,gas-loss,link-loss", 2)
	require.NoError(t, err)
	box, err := sensorbox.New(virtualbox.Plan(p, 2, faults))
	require.NoError(t, err)
	quiet := terminal.New(io.Discard, io.Discard)
	s := recording.Session{Job: p, Record: filepath.Join(t.TempDir(), "live.arctally"), Now: time.Now}
	live, err := virtualbox.Lay(t.Context(), quiet, &s, box)
	require.NoError(t, err)
	require.NotEmpty(t, live.Passes)
	require.NotEmpty(t, live.Findings)
	offline, err := openReview(t.Context(), quiet, s.Record, "")
	require.NoError(t, err)
	require.NoError(t, offline.Close())
	assert.Equal(t, live.Result, offline.Result)
	assertSameBits(t, live.Passes, offline.Result.Passes)
}

// assertSameBits compares what equality of floats would let pass: signs of zero.
func assertSameBits(t *testing.T, live, offline []pass.Pass) {
	t.Helper()
	require.Len(t, offline, len(live))
	for k := range live {
		assert.Equal(t, math.Float64bits(float64(live[k].Energy)), math.Float64bits(float64(offline[k].Energy)))
		assert.Equal(t, math.Float64bits(float64(live[k].ArcTime)), math.Float64bits(float64(offline[k].ArcTime)))
	}
}

// midPass is the number of looks at the clock, one a read of some 4 KB, after
// which the first pass is under way but far from its end.
const midPass = 200

// layPart lays a layer and records it into a file: part 0 is stopped with Ctrl-C
// in the middle of the pass, a later part goes on in the record to its end.
func layPart(t *testing.T, p *jobfile.File, file string, part int) virtualbox.Laid {
	t.Helper()
	if testing.Short() {
		t.Skip("it records a whole repair")
	}
	box, err := sensorbox.New(virtualbox.Plan(p, 1, nil))
	require.NoError(t, err)
	ctx, interrupt := context.WithCancel(t.Context())
	defer interrupt()
	reads := 0
	s := recording.Session{Job: p, Record: file, More: part > 0, Now: func() time.Time {
		if reads++; part == 0 && reads == midPass {
			interrupt()
		}
		return time.Now()
	}}
	result, err := virtualbox.Lay(ctx, terminal.New(io.Discard, io.Discard), &s, box)
	require.NoError(t, err)
	return result
}

// TestEndToEnd_Resume stops a recording with Ctrl-C in the middle of a pass,
// goes on with it, and wants both parts in the record.
func TestEndToEnd_Resume(t *testing.T) {
	job := jobtest.Short(t, "helix", jobtest.ThreeTurns)
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "resumed.arctally")
	quiet := terminal.New(io.Discard, io.Discard)
	var parts []virtualbox.Laid
	for k := range 2 {
		parts = append(parts, layPart(t, p, file, k))
	}
	offline, err := openReview(t.Context(), quiet, file, "")
	require.NoError(t, err)
	require.NoError(t, offline.Close())
	assert.Equal(t, parts[1].Result, offline.Result)
	require.Len(t, parts[0].Passes, 1)
	require.Len(t, offline.Result.Passes, 2)
	assert.Equal(t, parts[0].Passes[0], offline.Result.Passes[0])
	assert.Less(t, offline.Result.Passes[0].ArcTime, offline.Result.Passes[1].ArcTime/2, "the first part was not cut")
}
