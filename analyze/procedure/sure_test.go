package procedure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/plausible"
)

const wideJob = `job: A
procedure: p.yaml
bore: {worn_diameter: 9 m, length: 60 mm}
deposit: {pattern: helix, pitch: 3 mm}
instruments: {voltage: {gain: 0.099}}
`

func TestParseJob_DoubtsWhatIsNotUsual(t *testing.T) {
	j, err := ParseJob("job.yaml", []byte(wideJob))
	require.NoError(t, err)
	require.Len(t, j.Typed.Doubts, 2)
	assert.Equal(t, "bore.worn_diameter 9 m", j.Typed.Doubts[0].Sure())
	assert.Equal(t, "job.yaml:3:23", j.Typed.Doubts[0].Place)
	assert.Equal(t, "instruments.voltage.gain 0.099", j.Typed.Doubts[1].Sure())
	assert.Empty(t, j.Kept())

	err = j.Unsure()
	var unsure *plausible.UnsureError
	require.ErrorAs(t, err, &unsure)
	require.ErrorContains(t, err, "job.yaml:3:23: bore.worn_diameter: 9 m is outside of what is usual, 20 to 1500 mm: ")
	assert.Equal(t, "mend it, or say it again on purpose: sure: {bore: {worn_diameter: 9 m}} and sure: {instruments: {voltage: {gain: 0.099}}}, in the file where the value stands", unsure.Hint())
}

func TestParseJob_SaidAgain(t *testing.T) {
	j, err := ParseJob("job.yaml", []byte(wideJob+"sure: {bore: {worn_diameter: 9 m}, instruments: {voltage: {gain: 0.099}}}\n"))
	require.NoError(t, err)
	require.NoError(t, j.Unsure())
	assert.Len(t, j.Kept(), 2)

	j, err = ParseJob("job.yaml", []byte(wideJob+"sure: {bore: {worn_diameter: 9 m}}\n"))
	require.NoError(t, err)
	require.ErrorContains(t, j.Unsure(), "instruments.voltage.gain")
	assert.NotContains(t, j.Unsure().Error(), "worn_diameter")
}

// What is said again for nothing would hide the next slip.
func TestParse_SaidAgainForNothing(t *testing.T) {
	for sure, says := range map[string]string{
		"sure: {bore: {worn_diameter: 8 m}}":                   "job.yaml:6:30: sure.bore.worn_diameter is 8 m, where bore.worn_diameter is 9 m; write the value that is meant in both places",
		"sure: {bore: {worn_diameter: 9 m, length: 60 mm}}":    "job.yaml:6:43: sure.bore.length keeps nothing: no value there is outside of what is usual; leave it out",
		"sure: {bore: {worn_diameter: 9 m}, colour: red}":      "sure.colour keeps nothing",
		"sure: [bore.worn_diameter]":                           "sure must be key: value pairs, in the shape of the document",
		"sure: everything":                                     "sure must be key: value pairs, in the shape of the document",
		"sure: {bore: [{worn_diameter: 9 m}]}":                 "sure must be key: value pairs, in the shape of the document",
		"sure: {bore: {worn_diameter: 9 m}}\nsure: {bore: {}}": "sure is written twice",
	} {
		_, err := ParseJob("job.yaml", []byte(wideJob+sure+"\n"))
		require.ErrorContains(t, err, says, sure)
	}
}

func TestParseProcedure_Doubts(t *testing.T) {
	const head = "procedure: P\nprocess: MAG\nlimits: {voltage: 165..190 V, current: 110..160 A}\n"
	p, err := ParseProcedure("p.yaml", []byte(head+"judge: {dwell: 1000 s, guard_band: 99, arc_current: 500 A}\n"))
	require.NoError(t, err)
	var said []string
	for _, d := range p.Typed.Doubts {
		said = append(said, d.Sure())
	}
	assert.Equal(t, []string{"judge.dwell 1000 s", "judge.guard_band 99", "judge.arc_current 500 A", "limits.voltage 165..190 V"}, said)
	p, err = ParseProcedure("p.yaml", []byte(head+"sure: {limits: {voltage: 165..190 V}}\n"))
	require.NoError(t, err)
	assert.Empty(t, p.Typed.Doubts)
	require.Len(t, p.Typed.Kept, 1)
	assert.Equal(t, "kept on purpose: limits.voltage 165..190 V, where 8 to 60 V is usual", p.Typed.Kept[0].Kept())
}

// A threshold that an arc within the limits does not reach would call it off.
func TestParseProcedure_ThresholdsOfTheArcLieBelowTheLimits(t *testing.T) {
	for judge, want := range map[string]string{
		"{arc_current: 30 A}": "judge.arc_current 30 A", "{arc_voltage: 12 V}": "judge.arc_voltage 12 V", "{arc_current: 29 A, arc_voltage: 11 V}": "",
	} {
		p, err := ParseProcedure("p.yaml", []byte("procedure: P\nprocess: TIG\nlimits: {voltage: 12..15 V, current: 30..60 A}\njudge: "+judge+"\n"))
		require.NoError(t, err)
		if want == "" {
			assert.Empty(t, p.Typed.Doubts)
			continue
		}
		require.Len(t, p.Typed.Doubts, 1, judge)
		assert.Equal(t, want, p.Typed.Doubts[0].Sure())
		assert.Contains(t, p.Typed.Doubts[0].Sentence(), "below the lower limit")
	}
}

// Both habits, and fractions of an inch, are read in a file as on a page.
func TestParseJob_InEitherHabit(t *testing.T) {
	j, err := ParseJob("job.yaml", []byte("job: A\nprocedure: p\nbore:\n  worn_diameter: 3 5/8 in\n  length: 60,5 mm\ndeposit:\n  pattern: helix\n  pitch: 3,1 mm\nsignals:\n  clock: 20,5 ppm\n"))
	require.NoError(t, err)
	assert.InDelta(t, 0.092075, float64(j.Bore.WornDiameter), 1e-12)
	assert.InDelta(t, 0.0605, float64(j.Bore.Length), 1e-12)
	assert.InDelta(t, 20.5e-6, j.Signals.Clock.Value, 1e-15)
	_, err = ParseJob("job.yaml", []byte("job: A\nprocedure: p\nbore:\n  worn_diameter: 1,234 mm\n  length: 60 mm\ndeposit: {pattern: helix, pitch: 3 mm}\n"))
	require.ErrorContains(t, err, `job.yaml:4:18: bore.worn_diameter "1,234 mm": 1,234 may be 1.234 or 1234; write the one that is meant`)
}

// Strokes begin where a gap ends: a start angle elsewhere would put every place off.
func TestParseJob_StartAngleOfStrokes(t *testing.T) {
	for start, doubted := range map[string]bool{"": true, "rotation: {start_angle: 80 deg}\n": true, "rotation: {start_angle: 116 deg}\n": false, "rotation: {start_angle: 10 deg}\n": false} {
		j, err := ParseJob("job.yaml", []byte("job: A\nprocedure: p\nbore: {worn_diameter: 92 mm, length: 60 mm}\n"+
			"deposit: {pattern: segment-one-way, pitch: 3 mm, gaps: [{from: 80 deg, to: 116 deg}, {from: 350 deg, to: 10 deg}]}\n"+start))
		require.NoError(t, err)
		begin, ok := j.FirstStroke()
		assert.True(t, ok)
		assert.InDelta(t, 10, float64(begin), 0)
		if !doubted {
			assert.Empty(t, j.Typed.Doubts, start)
			continue
		}
		require.Len(t, j.Typed.Doubts, 1, start)
		assert.Equal(t, "rotation.start_angle", j.Typed.Doubts[0].Field)
		assert.Contains(t, j.Typed.Doubts[0].Sentence(), "10 deg or where another gap ends")
	}
	j, err := ParseJob("job.yaml", []byte("job: A\nprocedure: p\nbore: {worn_diameter: 92 mm, length: 60 mm}\ndeposit: {pattern: segment-one-way, pitch: 3 mm}\n"))
	require.NoError(t, err)
	assert.Empty(t, j.Typed.Doubts, "without a gap a stroke begins anywhere")
}
