package text

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/report/fleet"
	"arctally/report/sheet/sheettest"
)

func told(t *testing.T, write func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, write(&b))
	require.ErrorIs(t, write(&sheettest.Full{Left: 10}), sheettest.ErrFull)
	return b.String()
}

// A chart says what to look at and where it comes from; what is not known is a dash, and
// words from outside stay in their line.
func TestFleetCharts(t *testing.T) {
	place := fleet.Place{Record: "made\n1.arctally", Digest: strings.Repeat("0a", 32), Pass: new(2), Review: "#/record/made/pass/2", Simulated: new(true)}
	bundled := fleet.Place{Record: strings.Repeat("0b", 32) + "/record.arctally", Digest: strings.Repeat("0b", 32), Review: "#/record/record", Simulated: new(false)}
	dots := []fleet.Dot{{Place: bundled, At: "2026-03-02T08:00:00Z", Value: 0.4}, {Place: place, At: "2026-03-03T08:00:00Z", Value: 0.5, Outside: true}}
	c := &fleet.Charts{
		Measure: fleet.HeatInput, Side: fleet.ByBox, Unit: "kJ/mm", InAll: 9, Undated: 2, Charts: []fleet.Chart{
			{
				Procedure: fleet.Procedure{Name: new("MADE-1"), Definition: new("arc energy"), WindowLow: new(0.25)}, Member: new("B-1"), Jobs: 20, Passes: 40, Mean: new(0.41), Low: new(0.36), High: new(0.46),
				Widened: new(1.5), Outside: new(1), OneSided: 3, Signal: fleet.SignalOutside, Newest: dots, Farthest: dots[1:],
			},
			{Jobs: 1, Passes: 1, Mean: new(0.3), NoLimits: new("fewer than 8 jobs"), Newest: dots[:1]},
		},
	}
	text := told(t, func(w io.Writer) error { return FleetCharts(w, c) })
	for _, want := range []string{
		"heat input of jobs, by box: charts 2 of 9\n",
		"MADE-1    0.250..- B-1         20     40 E  0.410 0.360 0.460 0.500       1        3\n",
		"     look: the newest job lies outside the limits\n     limits widened by 1.50: each job resembles the one before it\n",
		`     outside: 0.500  2026-03-03  made\n1.arctally (simulated) (0a0a0a0a0a0a), review #/record/made/pass/2` + "\n",
		"-         -        not known    1      1 Q  0.300     -     - 0.400       -        0\n     no limits: fewer than 8 jobs\n",
		"     newest: 0b0b0b0b0b0b.../record.arctally (0b0b0b0b0b0b), review #/record/record\n",
		"2 jobs have no date, and stand on no chart\n",
	} {
		require.Contains(t, text, want)
	}
	c.Side = fleet.ByProcedure
	require.NotContains(t, told(t, func(w io.Writer) error { return FleetCharts(w, c) }), "not known")
}

// What there is none of is told in words.
func TestFleet_nothing(t *testing.T) {
	require.Contains(t, told(t, func(w io.Writer) error { return FleetProved(w, new(fleet.Proved)) }), "nothing of that was taken in")
	require.Contains(t, told(t, func(w io.Writer) error { return FleetOpen(w, new(fleet.OpenEvents)) }), "nothing is open")
	require.Contains(t, told(t, func(w io.Writer) error { return FleetDue(w, new(fleet.Due)) }), "none runs out within that time")
	require.Contains(t, told(t, func(w io.Writer) error { return FleetChanges(w, new(fleet.Changes)) }), "nothing was taken in since then")
	one := &fleet.Proved{Procedures: []fleet.ProcedureProved{{}}}
	require.Contains(t, told(t, func(w io.Writer) error { return FleetProved(w, one) }), "-         -           0      0          0         0     -\n")
}
