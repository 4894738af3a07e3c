package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/virtualbox"
)

// TestEndToEnd_Modbus records a slave that is polled, with half a second in which it
// answers nothing: the energy of each pass is that which its sums have, and no window
// is missing.
func TestEndToEnd_Modbus(t *testing.T) {
	if testing.Short() {
		t.Skip("it records a whole repair")
	}
	job := jobtest.Short(t, "helix", jobtest.OneTurn)
	text, err := os.ReadFile(job)
	require.NoError(t, err)
	require.Equal(t, 1, strings.Count(string(text), "link: binary"))
	text = bytes.Replace(text, []byte("link: binary"), []byte("link: modbus, unit: 1, map: block, wire_m_per_count: 0.1e-3"), 1)
	require.NoError(t, os.WriteFile(job, text, 0o600))
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	plan := virtualbox.Plan(p, 1, []sensorbox.Fault{{Kind: sensorbox.LinkLoss, Turn: 1, From: 200, Duration: 3}})
	plan.Link, plan.PlaySpeed = sensorbox.LinkModbus, 10
	box, err := sensorbox.New(plan)
	require.NoError(t, err)
	name, err := box.Open()
	require.NoError(t, err)
	r := repair{record: filepath.Join(t.TempDir(), "modbus.arctally")}
	played := make(chan error, 2)
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
	require.Len(t, r.passes.Passes, 1)
	got, truth := r.passes.Passes[0], r.truth.Passes[0]
	off := *got.Energy/float64(truth.Energy) - 1
	t.Logf("energy off by %.4f %%, arc time by %.3f ms\n%s", 100*off, 1e3*(*got.ArcTime-float64(truth.ArcTime)), printed.String())
	assert.InDelta(t, 0, off, energyTolerance)
	assert.InDelta(t, float64(truth.ArcTime), *got.ArcTime, 0.01)
}
