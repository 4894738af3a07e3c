package text

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestWriteChecks(t *testing.T) {
	list := sheet.CheckList{Record: "bore.arctally", Job: "Job", Checks: sheettest.Checks(), Missing: []calib.Subject{calib.ZeroCheck, calib.RotationCheck}}
	var b bytes.Buffer
	require.NoError(t, Checks(&b, list, sheet.Metric, time.Date(2026, 6, 1, 23, 0, 0, 0, time.UTC)))
	require.Equal(t, `set-up checks: Job
record bore.arctally

check 1: meter of voltage, 2026-05-04 07:40 UTC, by Operator 1, with meter 3, certificate C-44
     corrected = reading * 1.02
     take a third point
     bound to box B-0007
     taken over from check 2 of first.arctally (fingerprint 0123456789ab) 3 h 20 min after it was made, on
     2026-05-04 11:00 UTC by Operator 2
     holds for all of the record; due 2026-06-01
check 2: centring, 2026-05-04 07:40 UTC, by Operator 1
     0.7 mm off
     holds from then on, and changes nothing before it (after tick 4 ns of epoch 1); no due date

missing: zero, rotation
`, b.String())
	b.Reset()
	require.NoError(t, Checks(&b, list, sheet.Metric, time.Date(2026, 6, 2, 0, 0, 0, 0, time.UTC)))
	require.Contains(t, b.String(), "OVERDUE since 2026-06-01")
	list.Checks[0].Box, list.Checks[0].TakenOver = "port /dev/a", nil
	b.Reset()
	require.NoError(t, Checks(&b, list, sheet.Metric, time.Time{}))
	require.Contains(t, b.String(), "bound to port /dev/a, because the box has no serial\n")
	list.Checks[0].Box = ""
	b.Reset()
	require.NoError(t, Checks(&b, list, sheet.Metric, time.Time{}))
	require.Contains(t, b.String(), "of no named box: it holds for the one that spoke last before it, else for the first after it\n")
	b.Reset()
	require.NoError(t, Checks(&b, sheet.CheckList{}, sheet.Metric, time.Time{}))
	require.Contains(t, b.String(), "no set-up check is on record")
}
