package analyze

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/note"
	"arctally/analyze/procedure"
)

// toldStory is a story and the job it was recorded under.
type toldStory struct {
	job   func() *procedure.Job
	story story
}

// stories are records of every way in which an arc and a torch are followed.
func stories() map[string]toldStory {
	of := func(pattern bore.Pattern) func() *procedure.Job {
		return func() *procedure.Job {
			j := boreJob(pattern)
			j.Rotation.Speed, j.Setpoints.CurrentPerDistance = 0.1, 7000
			j.Procedure.Transfer = "dip"
			return j
		}
	}
	return map[string]toldStory{
		"helix, counted":    {of(bore.Helix), turned(true)},
		"helix, declared":   {of(bore.Helix), turned(false)},
		"rings, counted":    {of(bore.Rings), turned(true)},
		"strokes":           {of(bore.SegmentReversing), backAndForth},
		"display and wire":  {coupon, shown},
		"windows of a box":  {of(bore.Helix), windows},
		"quick, and shorts": {coupon, quick},
	}
}

const toneStep = ms

// restless is an arc that goes out in the gap, now and then for a moment, and once for long;
// its voltage leaves the window for two seconds.
func restless(counted bool) arcSignal {
	turning := func(tick int64) float64 { return 0.1 * float64(tick) * 1e-9 }
	a := arcSignal{
		step: toneStep,
		off: func(tick int64) bool {
			degree := math.Mod(turning(tick)*360, 360)
			return degree > 82 && degree < 114 || tick%7_000_000_000 > 6_900_000_000 || tick > 21_000_000_000 && tick < 33_000_000_000
		},
		voltage: func(tick int64) float64 {
			if tick > 12_000_000_000 && tick < 14_000_000_000 {
				return 3
			}
			return 0.3 * math.Sin(turning(tick)*2*math.Pi)
		},
	}
	if counted {
		a.turns = turning
	}
	return a
}

// turned is a torch that goes round, with readings, notes and what happens to a measurement.
func turned(counted bool) story {
	return func(t testing.TB, r *Run) {
		for _, n := range []note.Note{
			{By: "Operator 1", Text: "a word", Tick: 3_000_000_000},
			{By: "Operator 1", Tick: 16_000_000_000, EndOfPass: true},
			{By: "Operator 2", Tick: 1, TorchAt: new(quantity.Degrees(31))},
		} {
			require.NoError(t, r.Event(n.Event()))
		}
		require.NoError(t, r.Event(series.Event{Kind: series.ClockRate, Count: 40}))
		perTurn := 0.0
		if counted {
			perTurn = 360
		}
		require.NoError(t, r.Source(source(perTurn)))
		a := restless(counted)
		said := 0
		feed(t, r, a, 36_000_000_000, func() int { said++; return 200 + said%7*100 })
		require.NoError(t, r.Event(series.Event{Kind: series.Gap, Tick: 2_000_000_000, Until: 2_100_000_000, Count: 100, Text: "100 samples are missing"}))
		require.NoError(t, r.Source(source(perTurn)))
		require.NoError(t, r.Block(&series.Block{Kind: series.Slow, Epoch: 1, Ticks: []int64{0, 10, 20}, Channel: []uint8{2, 3, 9}, Value: []float64{0.09, 140, 1}}))
		require.NoError(t, r.Block(&series.Block{Kind: series.Arc, Epoch: 1, Step: toneStep, V: many(900, 1900), I: many(900, 1400)}))
		require.NoError(t, r.Block(&series.Block{Kind: series.Slow, Epoch: 1, Ticks: []int64{700 * ms, 800 * ms}, Channel: []uint8{2, 2}, Value: []float64{0.03, 0.1}}))
		require.NoError(t, r.Block(&series.Block{Kind: series.Arc, Epoch: 1, Tick: 950 * ms, Step: toneStep, V: many(900, 2900), I: many(900, 1400), Break: true}))
	}
}

func many(n int, code int32) (all []int32) {
	for range n {
		all = append(all, code)
	}
	return all
}

// backAndForth is a torch that goes back and forth with the arc on, and turns round once without.
func backAndForth(t testing.TB, r *Run) {
	require.NoError(t, r.Source(source(360)))
	width := 324.0 / 360
	a := arcSignal{
		step: toneStep, off: func(tick int64) bool { return tick > 19_000_000_000 && tick < 20_500_000_000 },
		turns: func(tick int64) float64 {
			there := math.Mod(0.1*float64(tick)*1e-9, 2*width)
			return 116.0/360 + min(there, 2*width-there)
		},
	}
	feed(t, r, a, 40_000_000_000, always(300))
}

// shown is a display that stands still, a wire that stops, and a travel that is measured.
func shown(t testing.TB, r *Run) {
	s := series.Source{
		Name: "display", HeldArc: 500 * ms, HeldAfter: 3_000 * ms, MayBeHeldAfter: 900 * ms,
		Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: 0.1, Basis: series.Average},
			{Name: "current", Unit: "A", Scale: 1, Basis: series.Average},
			{Name: "wire_length", Unit: "m", Scale: 1},
			{Name: "travel_speed", Unit: "m/s", Scale: 1},
			{Name: "gas_flow", Unit: "L/min", Scale: 1},
			{Name: "wire_speed", Unit: "m/s", Scale: 1},
		},
	}
	require.NoError(t, r.Source(s))
	for k := range int64(300) {
		tick := k * 100 * ms
		v := int32(190)
		if k%40 < 25 {
			v += int32(k % 3)
		}
		i := int32(140)
		if k > 250 || k%90 > 80 {
			v, i = 0, 0
		}
		require.NoError(t, r.Block(&series.Block{Kind: series.Arc, Ticks: []int64{tick}, V: []int32{v}, I: []int32{i}}))
		require.NoError(t, r.Block(&series.Block{
			Kind: series.Slow, Ticks: []int64{tick + 1, tick + 1, tick + 2, tick + 3}, Channel: []uint8{2, 3, 4, 5},
			Value: []float64{float64(k) * 0.01, 0.005 + float64(k%5)*1e-4, 14 - float64(k)*0.02, 0.09 * float64((k+10)%30) / 30},
		}))
	}
	require.NoError(t, r.Block(&series.Block{Kind: series.Arc, Ticks: []int64{1, 2}, V: []int32{190, 190}, I: []int32{140, 140}})) // the clock goes back
}

// windows is a box that sums up by itself, and counts the wire.
func windows(t testing.TB, r *Run) {
	s := source(360)
	s.WirePerCount = 1e-4
	require.NoError(t, r.Source(s))
	for k := range int64(300) {
		w := series.WindowSums{Count: 100, V: 180_000, I: 140_000, VI: 252_000_000 + k*1000, ArcOn: 100, WireCount: 70}
		switch {
		case k%37 == 0:
			w.ArcOn = 40
		case k > 140 && k < 170:
			w = series.WindowSums{Count: 100, V: 9_000_00}
		}
		require.NoError(t, r.Block(&series.Block{Kind: series.Turn, Ticks: []int64{k * 100 * ms}, Count: []int64{k * 36}}))
		require.NoError(t, r.Block(&series.Block{Kind: series.Sums, Tick: k * 100 * ms, Step: ms, Sum: w}))
	}
}

// quick is an arc that is sampled fast enough to tell its shorts; its line has an offset.
func quick(t testing.TB, r *Run) {
	s := source(0)
	s.Channels[0].Offset, s.Channels[1].Offset = -7.3, 1.9
	require.NoError(t, r.Source(s))
	for k := range int64(60) {
		b := series.Block{Kind: series.Arc, Tick: k * 100 * ms, Step: 50_000}
		for n := range int64(2000) {
			v, i := int32(2750+(k*n)%13), int32(1300+(n*n)%37)
			if (k*2000+n)%240 < 50 {
				v, i = 1000, 2600
			}
			b.V, b.I = append(b.V, v), append(b.I, i)
		}
		require.NoError(t, r.Block(&b))
	}
}
