package text

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/pass"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestCourse_inTheTable(t *testing.T) {
	var b bytes.Buffer
	s := sheettest.Coursed()
	require.NoError(t, Passes(&b, s, sheet.Metric))
	require.Regexp(t, `\n +1 +1 .* 20\.00i `, b.String())
	require.Regexp(t, `\n +2 +2 .* 20\.00r `, b.String())
	require.Contains(t, b.String(), "\nturns: i stopped short, r goes on with an earlier pass\n")
	require.Contains(t, b.String(), "\nstart of pass 2: 180 degC, typed in by Operator 1\n")
	require.Contains(t, b.String(), ": temperature 300 degC\n", "a value that stands for no pass is shown all the same")
	require.Contains(t, b.String(), ": bottle <changed>\n")
	b.Reset()
	require.NoError(t, Passes(&b, s, sheet.US))
	require.Contains(t, b.String(), "start of pass 2: 356 degF")
}

func TestCourse_everyDepartureHasItsMark(t *testing.T) {
	p := &sheet.Pass{}
	for _, p.Course = range sheettest.Unplanned {
		require.Len(t, courseMark(p), 1)
	}
	p.Course = pass.Course{State: pass.Complete}
	require.Empty(t, courseMark(p))
}
