package procedure

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// mustExplain shows that a refused text has at least one placed error.
func mustExplain(t *testing.T, err error) {
	t.Helper()
	var all Errors
	require.ErrorAs(t, err, &all)
	require.NotEmpty(t, all)
	for _, e := range all {
		require.Positive(t, e.Line)
		require.Positive(t, e.Column)
		require.NotEmpty(t, e.Reason)
	}
}

func FuzzParseJob(f *testing.F) {
	f.Add(jobText(f, "demo/job.yaml"))
	f.Add(jobText(f, "us-units/job.yaml"))
	f.Add([]byte("a: &a [*a]"))
	f.Fuzz(func(t *testing.T, text []byte) {
		job, err := ParseJob("job.yaml", text)
		if err != nil {
			require.Nil(t, job)
			mustExplain(t, err)
			return
		}
		require.NotEmpty(t, job.Name)
		require.Positive(t, job.Deposit.Efficiency)
		require.Positive(t, job.Deposit.PlannedArcOnRatio(), "something is left to weld")
	})
}

func FuzzParseProcedure(f *testing.F) {
	f.Add(jobText(f, "demo/procedures/gmaw-short-arc.yaml"))
	f.Add(jobText(f, "us-units/procedures/gmaw-short-arc.yaml"))
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := ParseProcedure("p.yaml", text)
		if err != nil {
			require.Nil(t, p)
			mustExplain(t, err)
			return
		}
		require.NotEmpty(t, p.Name)
		require.Contains(t, Processes(), p.Process)
		require.Positive(t, p.Judge.AverageOver)
		require.True(t, p.Limits.HeatInput.IsZero() || p.Judge.Definition != "")
	})
}
