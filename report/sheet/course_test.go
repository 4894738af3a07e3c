package sheet

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze"
	"arctally/analyze/note"
	"arctally/analyze/pass"
)

// coursedSheet has a run that stopped short, its second part, and what a person
// typed in before that.
func coursedSheet() *Sheet {
	first, second := inventedPass(1), inventedPass(2)
	first.Course = pass.Course{State: pass.Interrupted, Planned: 20, Turned: 12.5}
	second.Course = pass.Course{State: pass.Complete, Planned: 7.5, Turned: 7.5, Resumes: 1, Off: new(quantity.Degrees(-4))}
	temperature, flow := quantity.Of[quantity.Celsius](180, "degC"), quantity.Of[quantity.CubicMetresPerSecond](15, "L/min")
	second.AtStart = pass.AtStart{
		Temperature: &pass.Reading[quantity.Celsius]{Value: temperature, By: "Operator 1"},
		GasFlow:     &pass.Reading[quantity.CubicMetresPerSecond]{Value: flow},
	}
	notes := []note.Note{
		{By: "Operator 1", Tick: second.Start.Tick - 9e9, Temperature: new(quantity.Of[quantity.Celsius](300, "degC"))},
		{By: "Operator 1", Tick: second.Start.Tick - 5e9, Temperature: &temperature},
		{By: "Operator 1", Tick: second.Start.Tick + 5e9, Text: "bottle <changed>"},
	}
	return New(Input{
		RecordName: "course.arctally", Job: inventedJob(), WallTime: inventedClock,
		Result: analyze.Result{Passes: []pass.Pass{first, second}, Notes: notes},
	})
}

func TestCourse_inTheTable(t *testing.T) {
	var b bytes.Buffer
	s := coursedSheet()
	require.NoError(t, s.PassTable(&b, Metric))
	require.Regexp(t, `\n +1 +1 .* 20\.00i `, b.String())
	require.Regexp(t, `\n +2 +2 .* 20\.00r `, b.String())
	require.Contains(t, b.String(), "\nturns: i stopped short, r goes on with an earlier pass\n")
	require.Contains(t, b.String(), "\nstart of pass 2: 180 degC, typed in by Operator 1\n")
	require.Contains(t, b.String(), ": temperature 300 degC\n", "a value that stands for no pass is shown all the same")
	require.Contains(t, b.String(), ": bottle <changed>\n")
	b.Reset()
	require.NoError(t, s.PassTable(&b, US))
	require.Contains(t, b.String(), "start of pass 2: 356 degF")
}

func TestCourse_inJSON(t *testing.T) {
	list := coursedSheet().PassList()
	require.Equal(t, &CourseRow{State: "interrupted", PlannedTurns: new(20.0), Turned: new(12.5)}, list.Passes[0].Course)
	require.Equal(t, &CourseRow{State: "complete", PlannedTurns: new(7.5), Turned: new(7.5), Resumes: new(1), Off: new(-4.0)}, list.Passes[1].Course)
	require.Nil(t, list.Passes[0].AtStart)
	require.Equal(t, "typed in by Operator 1", *list.Passes[1].AtStart.TemperatureBasis)
	require.Equal(t, "measured", *list.Passes[1].AtStart.GasFlowBasis)
	require.Len(t, list.TypedIn, 3)
	require.Empty(t, list.TypedIn[0].Passes)
	require.Equal(t, []int{2}, list.TypedIn[1].Passes)
	require.Empty(t, list.TypedIn[2].Passes)
}

func TestCourse_inTheWeldRecord(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, coursedSheet().HTML(&b))
	for _, want := range []string{"20.00, short of 20.00", "20.00, on with 1", "Typed in", "temperature 180 degC", "<td>pass 2</td>", "<td>no pass</td>", "bottle &lt;changed&gt;"} {
		require.Contains(t, b.String(), want)
	}
}

// unplanned are courses that each depart from the plan in one way.
var unplanned = []pass.Course{{State: pass.Interrupted}, {State: pass.Cut}, {Resumes: 1}, {Repeats: 1}, {Missing: 2}, {Extra: true}, {Against: true}}

func TestCourse_everyDepartureHasItsMark(t *testing.T) {
	p := &passEntry{}
	for _, p.Course = range unplanned {
		require.Len(t, p.courseMark(), 1)
	}
	p.Course = pass.Course{State: pass.Complete}
	require.Empty(t, p.courseMark())
}

func TestCourse_everyDepartureHasItsWords(t *testing.T) {
	p := &passEntry{}
	for _, p.Course = range unplanned {
		require.NotEmpty(t, p.courseWords())
	}
	p.Course = pass.Course{State: pass.Complete}
	require.Empty(t, p.courseWords())
}
