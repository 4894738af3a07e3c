package analyze

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/pass"
)

// interruptedCase is a job of a few passes of which one stops short.
type interruptedCase struct {
	id      string
	pattern bore.Pattern
	legs    motion
	states  []pass.State
	resumes int // by the second pass
	repeats int
	off     float64
	turned  []float64
	depths  []float64 // mm, of the starts
	rules   []finding.Rule
}

var interruptedCases = []interruptedCase{
	{
		"helix, resumed where it stopped", bore.Helix,
		motion{weld(800), stand(30), cold(-5), weld(640)},
		[]pass.State{pass.Interrupted, pass.Complete},
		1, 0, -5,
		[]float64{800, 640},
		[]float64{0, 800.0 / 120},
		[]finding.Rule{finding.Interrupted},
	},
	{
		"helix, resumed 90 degrees on", bore.Helix,
		motion{weld(800), stand(30), cold(90), weld(640)},
		[]pass.State{pass.Interrupted, pass.Complete},
		1, 0, 90,
		[]float64{800, 640},
		[]float64{0, 800.0 / 120},
		[]finding.Rule{finding.Interrupted, finding.LeftOut},
	},
	{
		"helix, begun anew", bore.Helix,
		motion{weld(500), stand(30), cold(-500), weld(1440)},
		[]pass.State{pass.Interrupted, pass.Complete},
		0, 1, 0,
		[]float64{500, 1440},
		[]float64{0, 0},
		[]finding.Rule{finding.Interrupted, finding.WeldedOver},
	},
	{
		"ring, resumed where it stopped", bore.Rings,
		motion{weld(200), stand(30), cold(-8), weld(168), stand(3), weld(360)},
		[]pass.State{pass.Interrupted, pass.Complete, pass.Complete},
		1, 0, -8,
		[]float64{200, 168, 360},
		[]float64{0, 0, 3},
		[]finding.Rule{finding.Interrupted},
	},
	{
		"ring, resumed after going round once more", bore.Rings,
		motion{weld(200), stand(30), cold(360), weld(160), stand(3), weld(360)},
		[]pass.State{pass.Interrupted, pass.Complete, pass.Complete},
		1, 0, 0,
		[]float64{200, 160, 360},
		[]float64{0, 0, 3},
		[]finding.Rule{finding.Interrupted},
	},
	{
		"ring, welded again from its beginning", bore.Rings,
		motion{weld(200), stand(30), cold(-200), weld(360), stand(3), weld(360)},
		[]pass.State{pass.Interrupted, pass.Complete, pass.Complete},
		0, 1, 0,
		[]float64{200, 360, 360},
		[]float64{0, 0, 3},
		[]finding.Rule{finding.Interrupted, finding.WeldedOver},
	},
	{
		"ring, left unfinished", bore.Rings,
		motion{weld(200), cold(160), stand(20), weld(360)},
		[]pass.State{pass.Interrupted, pass.Complete},
		0, 0, 0,
		[]float64{200, 360},
		[]float64{0, 3},
		[]finding.Rule{finding.Interrupted},
	},
	{
		"stroke, resumed where it stopped", bore.SegmentReversing,
		motion{weld(150), stand(30), weld(174), stand(2), weld(-324)},
		[]pass.State{pass.Interrupted, pass.Complete, pass.Complete},
		1, 0, 0,
		[]float64{150, 174, 324},
		[]float64{0, 0, 3},
		[]finding.Rule{finding.Interrupted},
	},
	{
		"stroke, turned round too soon", bore.SegmentReversing,
		motion{weld(150), stand(2), weld(-150), stand(2), weld(324)},
		[]pass.State{pass.Interrupted, pass.Interrupted, pass.Complete},
		0, 0, 0,
		[]float64{150, 150, 324},
		nil, nil,
	},
	{
		"one-way stroke, left unfinished", bore.SegmentOneWay,
		motion{weld(150), cold(-150), stand(2), weld(324)},
		[]pass.State{pass.Interrupted, pass.Complete},
		0, 0, 0,
		[]float64{150, 324},
		[]float64{0, 3},
		[]finding.Rule{finding.Interrupted},
	},
}

func TestRun_interruptedPasses(t *testing.T) {
	for _, c := range interruptedCases {
		t.Run(c.id, func(t *testing.T) {
			var gaps []bore.Gap
			if c.pattern.Stroked() {
				gaps = []bore.Gap{keyway}
			}
			res := c.legs.judge(t, c.pattern, true, gaps...)
			require.Len(t, res.Passes, len(c.states))
			for k, p := range res.Passes {
				require.Equal(t, c.states[k], p.Course.State, "pass %d", k+1)
				require.InDelta(t, c.turned[k]/360, *p.Turns, 0.006, "pass %d", k+1)
				require.Equal(t, 1, p.Layer)
			}
			for k, depth := range c.depths {
				require.InDelta(t, depth*1e-3, float64(res.Passes[k].StartPlace.Depth), 3e-5)
			}
			second := res.Passes[1].Course
			if c.resumes > 0 || c.repeats > 0 || len(c.depths) > 0 {
				require.Equal(t, c.resumes, second.Resumes)
				require.Equal(t, c.repeats, second.Repeats)
			}
			if c.resumes > 0 {
				require.InDelta(t, c.off, float64(*second.Off), 1.5)
			}
			if c.rules != nil {
				require.Equal(t, c.rules, rulesOf(res))
			}
		})
	}
}
