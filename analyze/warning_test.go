package analyze

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/byangle"
	"arctally/analyze/pass"
	"arctally/analyze/plausible"
)

// laidTwice has passes 4 and 5, at 10 to 20 ticks of epoch 0 and of epoch 1.
func laidTwice() *Run {
	r := New(boreJob(bore.Helix), nil)
	for epoch := range 2 {
		r.passes = append(r.passes, pass.Pass{Number: 4 + epoch, Start: pass.Moment{Epoch: epoch, Tick: 10}, End: pass.Moment{Epoch: epoch, Tick: 20}})
	}
	return r
}

// A time touches a pass where it shares a tick with it.
func TestRun_passAt(t *testing.T) {
	r := laidTwice()
	for _, c := range []struct {
		epoch    int
		from, to int64
		want     int
	}{{0, 0, 9, 0}, {0, 0, 10, 4}, {0, 12, 13, 4}, {0, 20, 30, 4}, {0, 21, 30, 0}, {1, 0, 30, 5}, {2, 12, 13, 0}} {
		require.Equal(t, c.want, r.passAt(c.epoch, c.from, c.to), "%+v", c)
	}
}

func TestRun_ofEvent(t *testing.T) {
	w := laidTwice().ofEvent(series.Event{Kind: series.Gap, Epoch: 1, Tick: 15, Until: 17, Count: 3, Text: "lost"})
	require.Equal(t, Warning{Kind: string(series.Gap), Pass: 5, Start: pass.Moment{Epoch: 1, Tick: 15}, End: pass.Moment{Epoch: 1, Tick: 17}, Count: 3, Text: "lost"}, w)
}

// Of 100 s the arc burned 60; with 20 s of held values it would have been 80.
func TestRun_ofHeld(t *testing.T) {
	r := laidTwice()
	const second = 1_000_000_000
	r.passes[1].End.Tick = 4 * second
	d := pass.Doubts{Held: pass.HeldTimes{Count: 2, Time: 20 * second}, Arc: 60 * second, Elapsed: 100 * second}
	d.Held.Listed = append(d.Held.Listed, pass.HeldTime{Start: pass.Moment{Epoch: 1, Tick: 2 * second}, End: 2*second + 1_500_000_000})
	all := r.ofHeld(d)
	require.Len(t, all, 1)
	require.Equal(t, 5, all[0].Pass)
	require.Equal(t, pass.Moment{Epoch: 1, Tick: 3_500_000_000}, all[0].End)
	require.Equal(t, "the source repeated its last values for longer than it takes to measure anew for 1.500 s: not counted as arc time", all[0].Text)
	r.order.flagged = true
	require.Equal(t, "the arc flag was off while voltage and current stood at arc-like values for 1.500 s: not counted as arc time", r.ofHeld(d)[0].Text)
	require.Equal(t, "held values 2 times, 20.0 s in all; with them the arc-on ratio of the whole time would have been 0.800, without them it is 0.600", inAll(d).Text)
	require.Zero(t, share(5, 0))
}

// kindsOf lists the kinds of warnings.
func kindsOf(all []Warning) (kinds []string) {
	for _, w := range all {
		kinds = append(kinds, w.Kind)
	}
	return kinds
}

// Each doubt is said where there is one, and only there.
func TestRun_general(t *testing.T) {
	quiet := func() *Run { r := laidTwice(); r.passes = nil; return r }
	none := kindsOf(quiet().general(pass.Doubts{}))
	for kind, c := range map[string]struct {
		doubts pass.Doubts
		change func(*Run)
		text   string
	}{
		"clock-back":  {pass.Doubts{Skipped: 1}, nil, "1 samples stood before the latest time stamp; the time they cover is counted once, from the samples around them"},
		"place":       {pass.Doubts{CarriedAngles: 1}, nil, "the turn count began anew 1 times: the angle is carried on and counts as not known, until a count at the mark, a person or the next pass at the start angle tells it"},
		"few-counts":  {pass.Doubts{TooFewCounts: true}, nil, "a stroke of this job has fewer than three turn counts: they cannot tell where it begins and ends, and each stroke goes by the plan"},
		"layer":       {pass.Doubts{Layer: 2, Laid: 1, Planned: 4}, nil, "layer 2 has 1 of its 4 passes: it is not finished, or one of this layer or an earlier one is missing or was welded twice; depth is not measured, so that only their number shows it"},
		"late-turn":   {pass.Doubts{}, func(r *Run) { r.order.late = 1 }, "1 turn counts came after their time, and later than a box may keep them to itself: where the torch was by them, and before, is uncertain"},
		"diameter":    {pass.Doubts{Diameter: bore.ErrNotDeclared}, nil, "the diameter of later layers is not known and that of an earlier one is used: " + bore.ErrNotDeclared.Error()},
		"unprotected": {pass.Doubts{}, func(r *Run) { r.instruments.source.Unprotected = true }, "unprotected link: without sequence numbers and checksums nobody can tell whether samples are missing or damaged"},
	} {
		require.NotContains(t, none, kind)
		r := quiet()
		if c.change != nil {
			c.change(r)
		}
		require.Contains(t, texts(r.general(c.doubts), kind), c.text)
	}
	require.NotContains(t, kindsOf(quiet().general(pass.Doubts{Laid: 4, Planned: 4})), "layer", "it is finished")
	require.NotContains(t, kindsOf(quiet().general(pass.Doubts{Planned: 4})), "layer", "it has not begun")
}

// The warnings are counted anew with every event and every pass.
func TestRun_countWarnings(t *testing.T) {
	r := laidTwice()
	before := r.countWarnings()
	require.Equal(t, before, r.countWarnings())
	r.events = append(r.events, series.Event{Kind: series.Gap})
	require.Equal(t, before+1, r.countWarnings())
	r.order.late = 1
	require.Equal(t, before+2, r.countWarnings())
	r.order.late = 2
	require.Equal(t, before+2, r.countWarnings(), "of one kind there is one")
	r.passes = append(r.passes, pass.Pass{PowerBasis: series.Average})
	require.Equal(t, len(r.warnings()), r.countWarnings())
}

// A finding of a whole layer is counted with the last pass of it.
func TestRun_sweptIsOfTheLastPass(t *testing.T) {
	r := laidTwice()
	r.judge.Begin(&r.passes[1], pass.Position{})
	r.judge.End(&r.passes[1])
	s := byangle.Sweep{Layer: 1, First: 4, Last: 5, Turns: 12}
	s.OffCentre = byangle.Swing{Known: true, Found: true, Amplitude: 0.02, Least: 0.004, Crest: 200}
	r.swept(s)
	require.Zero(t, r.passes[0].Findings)
	require.Equal(t, len(r.judge.Found()), r.passes[1].Findings)
	require.Positive(t, r.passes[1].Findings)
}

// TestRun_WarnsOfWhatIsNotUsual: a doubted value of the job is told on the result, kept on purpose or not.
func TestRun_WarnsOfWhatIsNotUsual(t *testing.T) {
	doubt := &plausible.Doubt{Field: "bore.length", Value: "9 m", Usual: "2 to 3000 mm", Why: "w"}
	kept := &plausible.Doubt{Field: "judge.dwell", Value: "30 s", Usual: "0 to 20 s", Why: "v"}
	job := boreJob(bore.Helix)
	job.Typed.Doubts = []*plausible.Doubt{doubt}
	job.Procedure.Typed.Kept = []*plausible.Doubt{kept}
	var told []string
	for _, w := range New(job, nil).general(pass.Doubts{}) {
		if w.Kind == "unusual" {
			told = append(told, w.Text)
		}
	}
	assert.Equal(t, []string{
		"bore.length of the job: 9 m is outside of what is usual, 2 to 3000 mm: w",
		"kept on purpose: judge.dwell 30 s, where 0 to 20 s is usual: v",
	}, told)
}
