package record

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// The table of calibrations has no column for the box: each gets that of its check back,
// also of several in one group; those of the job file get none.
func TestReader_calibrationsKnowTheirBox(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bound.arctally")
	w, err := Create(path, Meta{})
	require.NoError(t, err)
	require.NoError(t, w.Calibration(*meterCheck(t).Calibration, 0, 0))
	require.NoError(t, w.Close())
	boxes := []string{"A", "", "port /dev/p", "B"}
	var checks []*calib.Check
	for _, box := range boxes {
		c := meterCheck(t)
		c.Box, c.Calibration.Box = box, box
		checks = append(checks, c)
	}
	wire := meterCheck(t)
	wire.Channel, wire.Calibration.Channel, wire.Calibration.Box = "current", "current", "C"
	amend(t, path, append(checks, wire)...)
	amend(t, path, checks[3])
	r, err := Open(path)
	require.NoError(t, err)
	all, err := r.Calibrations()
	require.NoError(t, err)
	var got []string
	for _, c := range all {
		got = append(got, c.Box)
	}
	require.Equal(t, []string{"", "A", "", "port /dev/p", "B", "C", "B"}, got)
	read, err := r.Checks()
	require.NoError(t, err)
	require.Equal(t, "port /dev/p", read[2].Box)
	require.NoError(t, r.Close())
}

// Who speaks is told from the place after all that came before in its epoch; a box
// beside the one that tells the arc is none of them.
func TestReader_speakers(t *testing.T) {
	path := filepath.Join(t.TempDir(), "speakers.arctally")
	w, err := Create(path, Meta{})
	require.NoError(t, err)
	say := func(serial string, box, epoch int, tick int64) {
		s := series.Source{Box: box, Port: "p", Serial: serial, Channels: []series.Channel{{Name: "voltage", Scale: 1}, {Name: "current", Scale: 1}}}
		require.NoError(t, w.Source(s))
		require.NoError(t, w.Block(&series.Block{Kind: series.Arc, Box: box, Epoch: epoch, Tick: tick, Step: 1, V: []int32{1, 2}, I: []int32{1, 2}}))
	}
	say("A", 0, 0, 5)
	say("B", 0, 0, 50)
	say("W", 1, 1, 5)
	say("C", 0, 2, -7)
	require.NoError(t, w.Close())
	r, err := Open(path)
	require.NoError(t, err)
	who, err := r.Speakers()
	require.NoError(t, err)
	var got []calib.Speaker
	for _, s := range who {
		got = append(got, calib.Speaker{Epoch: s.Epoch, Tick: s.Tick, Source: series.Source{Serial: s.Source.Serial}})
	}
	const first = -1 << 63
	require.Equal(t, []calib.Speaker{
		{Epoch: 0, Tick: first, Source: series.Source{Serial: "A"}},
		{Epoch: 0, Tick: 7, Source: series.Source{Serial: "B"}},
		{Epoch: 2, Tick: first, Source: series.Source{Serial: "C"}},
	}, got)
	require.NoError(t, r.Close())
}
