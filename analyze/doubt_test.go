package analyze

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// captured is a source as an importer describes it.
func captured() series.Source {
	s := source(0)
	s.Link, s.Unprotected = "capture", true
	s.Channels = s.Channels[:2]
	s.Channels[0].Basis, s.Channels[1].Basis = series.Average, series.Average
	return s
}

// off is the phase in ms of the display's own clock.
const off = 110

// display is a logger that repeats what a display shows: new values every
// 0.3 s, the last ones held while the arc is off.
func display(on func(ms int64) bool, until int64) (b series.Block, arc int64) {
	dice := rand.New(rand.NewPCG(7, 7))
	b = series.Block{Kind: series.Arc, Ticks: []int64{}}
	v, i, fresh := int32(0), int32(0), int64(-1)
	for at := int64(0); at < until; at += 4 {
		if on(at) {
			arc += 4
			if (at+off)/300 != fresh {
				v, i, fresh = 1800+int32(dice.IntN(30))*10, 1200+int32(dice.IntN(20))*10, (at+off)/300
			}
		}
		b.Ticks = append(b.Ticks, at*ms)
		b.V, b.I = append(b.V, v), append(b.I, i)
		b.Flag = append(b.Flag, on(at))
	}
	return b, arc
}

func TestRun_heldValuesAreNotArcTime(t *testing.T) {
	on := func(at int64) bool { return at > 2000 && at%12_000 < 7000 }
	b, arc := display(on, 120_000)
	for name, flagged := range map[string]bool{"flag": true, "no flag": false} {
		t.Run(name, func(t *testing.T) {
			s, block := captured(), b
			tolerance := 0.005
			if !flagged {
				s.Refresh, s.HeldAfter, s.HeldArc, block.Flag = 300*ms, 750*ms, 300*ms, nil
				tolerance = 0.15 // of a second an interval at worst; half a refresh
			}
			r := New(coupon(), nil)
			require.NoError(t, r.Source(s))
			require.NoError(t, r.Block(&block))
			res := r.Finish()
			require.Len(t, res.Passes, 10)
			total := 0.0
			for _, p := range res.Passes {
				total += float64(p.ArcTime)
				require.Equal(t, series.Average, p.PowerBasis)
			}
			require.InDelta(t, float64(arc)/1000, total, tolerance*10)
			held := kind(res, "held")
			require.NotEmpty(t, held)
			require.Contains(t, held[0].Text, "would have been", "what it comes to stands first")
			first := held[1]
			require.InDelta(t, float64(7000*ms), first.Start.Tick, 310*ms)
			require.InDelta(t, float64(12_000*ms), first.End.Tick, 310*ms)
		})
	}
}

func kind(res Result, kind string) []Warning {
	var found []Warning
	for _, w := range res.Warnings {
		if w.Kind == kind {
			found = append(found, w)
		}
	}
	return found
}

// steady is a block of n samples of an arc, a step apart.
func steady(tick, step int64, n int) series.Block {
	b := series.Block{Kind: series.Arc, Tick: tick, Step: step}
	for range n {
		b.V, b.I = append(b.V, 2000), append(b.I, 1500)
	}
	return b
}

func TestRun_aGapGivesNoEnergyAndDoesNotEndThePass(t *testing.T) {
	r := New(coupon(), nil)
	require.NoError(t, r.Source(source(0)))
	first, second := steady(0, ms, 1001), steady(3000*ms, ms, 1001)
	require.NoError(t, r.Block(&first))
	require.NoError(t, r.Block(&second))
	p := r.Finish().Passes
	require.Len(t, p, 1)
	require.InDelta(t, 2, float64(p[0].ArcTime), 1e-12)
	require.InDelta(t, 2*20*150, float64(p[0].Energy), 1e-9)
	require.InDelta(t, 2, float64(p[0].GapTime), 1e-12)
	require.InDelta(t, 4, float64(p[0].Elapsed), 1e-12)
	whole := New(coupon(), nil)
	require.NoError(t, whole.Source(source(0)))
	b := steady(0, ms, 2001)
	require.NoError(t, whole.Block(&b))
	require.Greater(t, *p[0].ExpandedUncertainty, *whole.Finish().Passes[0].ExpandedUncertainty)
}

func TestRun_aBreakBetweenCloseSamplesGivesNoEnergy(t *testing.T) {
	r := New(coupon(), nil)
	require.NoError(t, r.Source(source(0)))
	first, second := steady(0, ms, 1001), steady(1001*ms, ms, 1000)
	second.Break = true
	require.NoError(t, r.Block(&first))
	require.NoError(t, r.Block(&second))
	p := r.Finish().Passes[0]
	require.InDelta(t, 1.999, float64(p.ArcTime), 1e-12)
	require.InDelta(t, 0.001, float64(p.GapTime), 1e-12)
	require.Zero(t, p.BriefArcOuts)
}

func TestRun_timeStampsThatStepBackAreCountedOnce(t *testing.T) {
	b := series.Block{Kind: series.Arc, Ticks: []int64{}}
	for k := int64(0); k < 3000; k += 3 { // 0 2 1 3 5 4 ...: a third of them back
		for _, at := range []int64{k, k + 2, k + 1} {
			b.Ticks = append(b.Ticks, at*ms)
			b.V, b.I = append(b.V, 2000), append(b.I, 1500)
		}
	}
	r := New(coupon(), nil)
	require.NoError(t, r.Source(captured()))
	require.NoError(t, r.Block(&b))
	res := r.Finish()
	require.Len(t, res.Passes, 1)
	require.InDelta(t, 2.999, float64(res.Passes[0].ArcTime), 1e-12)
	require.InDelta(t, 2.999*3000, float64(res.Passes[0].Energy), 1e-6)
	back := kind(res, "clock-back")
	require.Len(t, back, 1)
	require.EqualValues(t, 1000, back[0].Count)
}

// A clock of tenths of a second stamps several rows alike: the flag of the last
// of them holds for the time that follows.
func TestRun_rowsWithOneTimeStamp(t *testing.T) {
	b := series.Block{Kind: series.Arc, Ticks: []int64{}}
	for k := range int64(100) { // 25 rows a second; arc from row 31 to row 70
		b.Ticks = append(b.Ticks, k*40/100*100*ms)
		b.V, b.I, b.Flag = append(b.V, 2000), append(b.I, 1500), append(b.Flag, k >= 31 && k <= 70)
	}
	r := New(coupon(), nil)
	require.NoError(t, r.Source(captured()))
	require.NoError(t, r.Block(&b))
	p := r.Finish().Passes
	require.Len(t, p, 1)
	require.InDelta(t, 1.6, float64(p[0].ArcTime), 1e-9, "from stamp 1.2 to stamp 2.8")
}

func TestRun_aRestartOfTheBoxJoinsNothing(t *testing.T) {
	r := New(coupon(), nil)
	require.NoError(t, r.Source(source(0)))
	first, second := steady(5_000_000*ms, ms, 1001), steady(0, ms, 501)
	second.Epoch = 1
	require.NoError(t, r.Block(&first))
	require.NoError(t, r.Event(series.Event{Kind: series.Reboot, Epoch: 1, Text: "the box restarted"}))
	require.NoError(t, r.Block(&second))
	res := r.Finish()
	require.Len(t, res.Passes, 2)
	require.InDelta(t, 1, float64(res.Passes[0].ArcTime), 1e-12)
	require.InDelta(t, 0.5, float64(res.Passes[1].ArcTime), 1e-12)
	require.Equal(t, 1, res.Passes[1].Start.Epoch)
	require.Len(t, kind(res, "reboot"), 1)
}

func TestRun_sumsGiveTrueEnergy(t *testing.T) {
	s := source(0)
	s.Channels[1].Offset = -2 // A: the cross terms count
	r := New(coupon(), nil)
	require.NoError(t, r.Source(s))
	for k := range int64(100) { // windows of 12 ms: 3 ms of 2 V 300 A, 9 ms of 20 V 130 A
		b := series.Block{Kind: series.Sums, Tick: k * 12 * ms, Step: ms}
		b.Sum = series.WindowSums{Count: 12, ArcOn: 12, V: 3*200 + 9*2000, I: 3*3020 + 9*1320, VI: 3*200*3020 + 9*2000*1320}
		require.NoError(t, r.Block(&b))
	}
	p := r.Finish().Passes[0]
	require.InDelta(t, 2100, float64(*p.PowerMean), 1e-9)
	require.InDelta(t, 15.5, float64(*p.VoltageMean), 1e-9)
	require.InDelta(t, 172.5, float64(*p.CurrentMean), 1e-9)
	require.InDelta(t, 1.2, float64(p.ArcTime), 1e-9)
	require.Equal(t, series.Instantaneous, p.PowerBasis)
}

// The sums of a Modbus slave are in V*us and A*us, its step is 1 us, and it has no
// extremes: the energy is its own to the last digit. Whether it is that of true power
// goes by how fast the slave sampled, which the source says.
//
//	energy = 40 * 13157 us * 2450.123 W
func TestRun_sumsOfASlave(t *testing.T) {
	for _, basis := range []series.Basis{series.Instantaneous, series.Average} {
		s := source(0)
		for k := range s.Channels[:2] {
			s.Channels[k].Scale, s.Channels[k].Basis = 1, basis
		}
		r := New(coupon(), nil)
		require.NoError(t, r.Source(s))
		for k := range int64(40) {
			b := series.Block{Kind: series.Sums, Tick: k * 13_157_000, Step: 1000}
			b.Sum = series.WindowSums{
				Count: 13157, ArcOn: 13157, V: 13157 * 175 / 10, I: 13157 * 140, VI: 13157 * 2450123 / 1000,
				VMin: math.MaxInt16, VMax: math.MinInt16, IMin: math.MaxInt16, IMax: math.MinInt16,
			}
			require.NoError(t, r.Block(&b))
		}
		p := r.Finish().Passes[0]
		require.InDelta(t, 40*(13157*2450123/1000)*1e-6, float64(p.Energy), 1e-9)
		require.InDelta(t, 0.52628, float64(p.ArcTime), 1e-12)
		require.InDelta(t, 140, float64(*p.CurrentMean), 1e-9)
		require.Equal(t, basis, p.PowerBasis)
	}
}

func TestRun_energyAddsOverACut(t *testing.T) {
	whole, a, b := steady(0, ms, 2001), steady(0, ms, 1001), steady(1000*ms, ms, 1001)
	energy := func(blocks ...*series.Block) (sum float64) {
		r := New(coupon(), nil)
		require.NoError(t, r.Source(source(0)))
		for _, x := range blocks {
			require.NoError(t, r.Block(x))
		}
		for _, p := range r.Finish().Passes {
			sum += float64(p.Energy)
		}
		return sum
	}
	require.InDelta(t, energy(&whole), energy(&a)+energy(&b), 1e-9)
}

func TestRun_saysWhatItRestsOn(t *testing.T) {
	r := New(coupon(), nil)
	require.NoError(t, r.Source(captured()))
	b := steady(0, 4*ms, 500)
	require.NoError(t, r.Block(&b))
	var text strings.Builder
	for _, w := range r.Finish().Warnings {
		text.WriteString(w.Kind + ": " + w.Text + "\n")
	}
	for _, want := range []string{"declared-travel: travel of 1 passes", "averaged-power", "unprotected", "no-calibration: no calibration of current"} {
		require.Contains(t, text.String(), want)
	}
}

func TestRun_refusesASourceWithoutCurrent(t *testing.T) {
	s := source(0)
	s.Channels = s.Channels[:1]
	require.ErrorContains(t, New(coupon(), nil).Source(s), "voltage and current are needed")
}

// A channel in a unit that is none of its quantity is not used, and nothing else is lost.
func TestRun_aUnitOfAnotherQuantity(t *testing.T) {
	r := laidBy(t, func(s *series.Source) { s.Channels[2].Unit = "V" }, nil)
	require.Len(t, r.Passes, 1)
	require.Contains(t, impossibilities(r), `channel "wire_speed" is not used`)
}
