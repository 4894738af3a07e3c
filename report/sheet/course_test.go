package sheet_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestCourse_inJSON(t *testing.T) {
	list := sheettest.Coursed().PassList()
	require.Equal(t, &sheet.CourseRow{State: "interrupted", PlannedTurns: new(20.0), Turned: new(12.5)}, list.Passes[0].Course)
	require.Equal(t, &sheet.CourseRow{State: "complete", PlannedTurns: new(7.5), Turned: new(7.5), Resumes: new(1), Off: new(-4.0)}, list.Passes[1].Course)
	require.Nil(t, list.Passes[0].AtStart)
	require.Equal(t, "typed in by Operator 1", *list.Passes[1].AtStart.TemperatureBasis)
	require.Equal(t, "measured", *list.Passes[1].AtStart.GasFlowBasis)
	require.Len(t, list.TypedIn, 3)
	require.Empty(t, list.TypedIn[0].Passes)
	require.Equal(t, []int{2}, list.TypedIn[1].Passes)
	require.Empty(t, list.TypedIn[2].Passes)
}
