package analyze

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// leg is a stretch of time in which the torch turns evenly.
type leg struct {
	seconds float64
	degrees float64 // turned in it; below 0 is anti-clockwise
	arc     bool
}

// speed is that of the torch in these tests, in degrees a second.
const speed = 1.25 * 6

// weld, cold and stand are legs at the planned speed, at four times of it, and
// on the spot.
func weld(degrees float64) leg  { return leg{math.Abs(degrees) / speed, degrees, true} }
func cold(degrees float64) leg  { return leg{math.Abs(degrees) / speed / 4, degrees, false} }
func stand(seconds float64) leg { return leg{seconds: seconds} }

// motion is a whole job as legs.
type motion []leg

// at returns where the torch is, in degrees, and whether the arc burns.
func (m motion) at(tick int64) (degrees float64, arc bool) {
	t := float64(tick) * 1e-9
	for _, l := range m {
		if t < l.seconds {
			return degrees + l.degrees*t/l.seconds, l.arc
		}
		t, degrees = t-l.seconds, degrees+l.degrees
	}
	return degrees, false
}

func (m motion) length() (ns int64) {
	total := 0.0
	for _, l := range m {
		total += l.seconds
	}
	return int64(total * 1e9)
}

// judge lays the legs after two quiet seconds, and judges them with or without
// turn counts.
func (m motion) judge(t *testing.T, pattern bore.Pattern, counted bool, gaps ...bore.Gap) Result {
	t.Helper()
	return m.judgeIn(t, always(1000), pattern, counted, gaps...)
}

// judgeIn is judge with the samples in blocks of given lengths.
func (m motion) judgeIn(t *testing.T, size func() int, pattern bore.Pattern, counted bool, gaps ...bore.Gap) Result {
	t.Helper()
	m = append(append(motion{stand(2)}, m...), stand(2))
	job := boreJob(pattern)
	job.Deposit.Gaps = gaps
	job.Rotation.StartAngle = 116
	a := arcSignal{step: ms, off: func(tick int64) bool { _, arc := m.at(tick); return !arc }}
	s := source(0)
	if counted {
		s = source(360)
		a.turns = func(tick int64) float64 { d, _ := m.at(tick); return d/360 + 1e-9 }
	}
	r := New(job, nil)
	require.NoError(t, r.Source(s))
	feed(t, r, a, m.length(), size)
	return r.Finish()
}

// rulesOf returns the findings about the order of the passes.
func rulesOf(res Result) (rules []finding.Rule) {
	for _, f := range res.Findings {
		switch f.Rule {
		case finding.Interrupted, finding.ArcOnReturn, finding.LeftOut, finding.WeldedOver, finding.StrokeCount, finding.ArcOut, finding.ArcInGap, finding.ArcOnRatio:
			rules = append(rules, f.Rule)
		}
	}
	return rules
}

var keyway = bore.Gap{From: 80, To: 116}

// layer returns the strokes of one layer over a segment, and the way back to
// where it began.
func layer(pattern bore.Pattern, width, pause float64) (legs motion) {
	for k := range 4 {
		switch {
		case pattern == bore.SegmentOneWay:
			legs = append(legs, weld(width), cold(-width), stand(pause))
		case k%2 == 0:
			legs = append(legs, weld(width), stand(pause))
		default:
			legs = append(legs, weld(-width), stand(pause))
		}
	}
	return legs
}

func TestRun_strokesOfASegment(t *testing.T) {
	for _, pattern := range []bore.Pattern{bore.SegmentReversing, bore.SegmentOneWay} {
		for name, counted := range map[string]bool{"counted": true, "declared": false} {
			t.Run(string(pattern)+" "+name, func(t *testing.T) {
				res := append(layer(pattern, 324, 1.5), layer(pattern, 324, 1.5)...).judge(t, pattern, counted, keyway)
				require.Len(t, res.Passes, 8)
				require.Empty(t, rulesOf(res))
				for k, p := range res.Passes {
					require.Equal(t, k/4+1, p.Layer)
					require.InDelta(t, 43.2, float64(p.ArcTime), 0.003)
					require.InDelta(t, 0.9, *p.Turns, 0.006)
					require.InDelta(t, 0.9*math.Pi*float64(p.Diameter), float64(*p.Travel), 1.7e-3)
					require.InDelta(t, float64(k%4)*0.003, float64(p.StartPlace.Depth), 1e-9)
					require.InDelta(t, 1, float64(p.ArcOnRatio), 1e-6)
					require.EqualValues(t, 1, p.PlannedArcOn)
					require.Equal(t, pass.Complete, p.Course.State)
					from, to := quantity.Degrees(116), quantity.Degrees(80)
					if pattern == bore.SegmentReversing && k%2 == 1 {
						from, to = to, from
					}
					require.InDelta(t, 0, float64(bore.AngleDifference(p.StartPlace.Angle, from)), 1.1)
					require.InDelta(t, 0, float64(bore.AngleDifference(p.EndPlace.Angle, to)), 1.1)
				}
				require.Less(t, res.Passes[4].Diameter, res.Passes[3].Diameter)
			})
		}
	}
}

// The arc burns on while the torch turns round: the strokes part at the angle
// where it did, and no joule is lost.
func TestRun_strokesWithoutPuttingTheArcOut(t *testing.T) {
	var m motion
	for range 2 {
		m = append(m, weld(324), leg{1, 0, true}, weld(-324), leg{1, 0, true})
	}
	m[len(m)-1].arc = false
	res := m.judge(t, bore.SegmentReversing, true, keyway)
	require.Len(t, res.Passes, 4)
	require.Empty(t, rulesOf(res))
	energy := 0.0
	for k, p := range res.Passes {
		require.InDelta(t, 0.9, *p.Turns, 0.006)
		require.InDelta(t, []float64{43.2, 44.2, 44.2, 44.2}[k], float64(p.ArcTime), 0.2)
		require.InDelta(t, 0.9*math.Pi*0.092, float64(*p.Travel), 2e-3)
		require.Equal(t, heat.TravelMeasured, p.TravelBasis)
		energy += float64(p.Energy)
	}
	require.InDelta(t, (4*43.2+3)*2100, energy, 50)
}

// The arc burns on the way back of a one-way pattern: that is no stroke.
func TestRun_arcOnTheWayBack(t *testing.T) {
	m := motion{weld(324), stand(2), weld(-324), stand(2), weld(324), cold(-324), stand(2), weld(324)}
	res := m.judge(t, bore.SegmentOneWay, true, keyway)
	require.Len(t, res.Passes, 4)
	require.Equal(t, []finding.Rule{finding.ArcOnReturn}, rulesOf(res))
	require.True(t, res.Passes[1].Course.Against)
	for k, pitches := range []float64{0, 1, 1, 2} {
		require.InDelta(t, 0.003*pitches, float64(res.Passes[k].StartPlace.Depth), 1e-9)
	}
}

// Without a gap a stroke is a whole turn.
func TestRun_strokesAllTheWayRound(t *testing.T) {
	res := layer(bore.SegmentReversing, 360, 2).judge(t, bore.SegmentReversing, true)
	require.Len(t, res.Passes, 4)
	for _, p := range res.Passes {
		require.InDelta(t, 1, *p.Turns, 0.006)
		require.Equal(t, pass.Complete, p.Course.State)
	}
}

// Two segments, filled one after the other: 116..260 and 300..80.
func TestRun_twoSegments(t *testing.T) {
	gaps := []bore.Gap{keyway, {From: 260, To: 300}}
	m := layer(bore.SegmentReversing, 144, 2)
	m = append(m, cold(184))
	m = append(m, layer(bore.SegmentReversing, 140, 2)...)
	m = append(m, cold(-184), stand(15), weld(144))
	res := m.judge(t, bore.SegmentReversing, true, gaps...)
	require.Len(t, res.Passes, 9)
	require.Empty(t, rulesOf(res))
	for k, p := range res.Passes {
		require.Equal(t, k/8+1, p.Layer)
		require.InDelta(t, float64(k%4)*0.003, float64(p.StartPlace.Depth), 1e-9)
		require.Equal(t, pass.Complete, p.Course.State)
		require.Zero(t, p.Course.Missing)
	}
	require.InDelta(t, 300, float64(res.Passes[4].StartPlace.Angle), 1.1)

	t.Run("a stroke missing", func(t *testing.T) {
		short := append(append(motion{}, m[:4]...), m[8:]...) // two strokes of the first segment
		res := short.judge(t, bore.SegmentReversing, true, gaps...)
		require.Len(t, res.Passes, 7)
		require.Equal(t, 2, res.Passes[6].Layer)
		require.Equal(t, 2, res.Passes[6].Course.Missing)
		require.Equal(t, []finding.Rule{finding.StrokeCount}, rulesOf(res))
	})
	t.Run("a stroke too many", func(t *testing.T) {
		long := append(append(motion{}, m[:8]...), weld(144), stand(2), weld(-144), stand(2))
		res := append(long, m[8:]...).judge(t, bore.SegmentReversing, true, gaps...)
		require.Len(t, res.Passes, 11)
		require.True(t, res.Passes[4].Course.Extra)
		require.True(t, res.Passes[5].Course.Extra)
		require.Equal(t, 1, res.Passes[9].Layer)
		require.Equal(t, []finding.Rule{finding.StrokeCount, finding.StrokeCount}, rulesOf(res))
	})
}

// A ring that is left out leaves no other trace than the number of rings.
func TestRun_unfinishedLayerIsADoubt(t *testing.T) {
	warned := func(m motion, pattern bore.Pattern) (found []Warning) {
		for _, w := range m.judge(t, pattern, true).Warnings {
			if w.Kind == "layer" {
				found = append(found, w)
			}
		}
		return found
	}
	rings := motion{weld(360), stand(3), weld(360), stand(3), weld(360), stand(3)}
	one := warned(rings, bore.Rings)
	require.Len(t, one, 1)
	require.EqualValues(t, 1, one[0].Count)
	require.Contains(t, one[0].Text, "layer 1 has 3 of its 4 passes")
	require.Empty(t, warned(append(rings, weld(360)), bore.Rings))
	require.Len(t, warned(layer(bore.SegmentReversing, 360, 2)[:4], bore.SegmentReversing), 1)
	require.Empty(t, warned(motion{weld(800)}, bore.Helix))
}

// Any division of the samples into blocks gives the same bits, whatever the pattern.
func TestRun_divisionDoesNotMatterToStrokes(t *testing.T) {
	m := motion{
		weld(324),
		{1, 0, true},
		weld(-324), stand(2), weld(150), stand(30), cold(-6), weld(180), stand(0.2), weld(-100),
		cold(-224), stand(2), weld(324),
	}
	whole := m.judgeIn(t, always(1<<30), bore.SegmentReversing, true, keyway)
	require.NotEmpty(t, whole.Findings)
	for seed := range uint64(3) {
		dice := rand.New(rand.NewPCG(seed, 2))
		require.Equal(t, whole, m.judgeIn(t, func() int { return 1 + dice.IntN(3000) }, bore.SegmentReversing, true, keyway))
	}
	require.Equal(t, whole, m.judgeIn(t, always(1), bore.SegmentReversing, true, keyway))
}

// Samples that end while the arc burns say nothing about how the pass went on.
func TestRun_cutPassIsNotInterrupted(t *testing.T) {
	m := motion{weld(500)}
	job := boreJob(bore.Helix)
	job.Deposit.Gaps = nil
	r := New(job, nil)
	require.NoError(t, r.Source(source(360)))
	a := arcSignal{step: ms, off: func(int64) bool { return false }, turns: func(tick int64) float64 { d, _ := m.at(tick); return d / 360 }}
	feed(t, r, a, 40_000*ms, always(100))
	res := r.Finish()
	require.Len(t, res.Passes, 1)
	require.Equal(t, pass.Cut, res.Passes[0].Course.State)
	require.Empty(t, rulesOf(res))
}
