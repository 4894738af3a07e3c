package sensorbox

import (
	"bytes"
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// bookkeeper is a ledger over an arc and a torch that only do what a test says.
func bookkeeper() (*ledger, *arc, *torch) {
	l := &ledger{truth: &Truth{}, hold: 300e6, moment: func(since int64) Moment { return Moment{1, since - 1000, since} }}
	torch := newTorch(ringPlan())
	torch.pass = 1
	l.begin(torch)
	return l, atRest(open), torch
}

// 20 V and 100 A for 10 us are 20 mJ. A touch before the first burning counts for
// nothing; a short within the arc counts like the arc.
func TestLedger_booksTheArc(t *testing.T) {
	l, a, torch := bookkeeper()
	a.voltage, a.through = 20, 100
	step := func(c contact, since int64) { a.contact = c; l.step(a, torch, since) }
	step(open, 0)
	step(fusing, 1e6)
	assert.False(t, l.on)
	a.fed, a.shorts, torch.turned = 0.5, 7, 10
	step(burning, 2e6)
	l.travel(torch, 90)
	step(bridged, 3e6)
	a.fed, a.shorts, torch.turned = 0.75, 9, 100
	step(open, 4e6)
	l.travel(torch, 90)
	p := *l.pass()
	assert.Equal(t, Moment{1, 2e6 - 1000, 2e6}, p.Start)
	assert.Equal(t, Moment{1, 4e6 - 1000, 4e6}, p.End)
	assert.Equal(t, []Interval{{p.Start, p.End}}, p.Arcs)
	assert.InDelta(t, 0.04, float64(p.Energy), 1e-12)
	assert.InDelta(t, 20e-6, float64(p.ArcTime), 1e-15)
	assert.InDelta(t, 0.25, p.Turns, 1e-12)
	assert.InDelta(t, 0.25, float64(p.WireFed), 1e-12)
	assert.Equal(t, 2, p.Shorts)
	assert.InEpsilon(t, math.Pi*0.092/4, float64(p.Path), 1e-12, "with the arc on only")
	assert.Equal(t, [3]int{1, 1, 1}, [3]int{p.Number, p.Layer, p.Ring})

	torch.pass = 4
	l.begin(torch)
	assert.Equal(t, [3]int{2, 2, 2}, [3]int{l.pass().Number, l.pass().Layer, l.pass().Ring})
	l.goOn(torch)
	assert.Equal(t, [2]int{3, 2}, [2]int{l.pass().Number, l.pass().Resumes})
	step(burning, 9e6)
	step(open, 10e6)
	assert.InDelta(t, 0.02, float64(l.pass().Energy), 1e-12, "the books begin anew")
	assert.Zero(t, l.pass().Path)
	torch.plan.Pattern = Helix
	l.begin(torch)
	assert.Zero(t, l.pass().Ring)
}

// An arc-out of 300 ms ends an interval, a shorter one does not.
func TestLedger_holdsOverShortArcOuts(t *testing.T) {
	for pause, intervals := range map[int64]int{299_999_999: 1, 300_000_000: 2} {
		l, a, torch := bookkeeper()
		for _, s := range []struct {
			contact contact
			since   int64
		}{{burning, 0}, {open, 1e9}, {burning, 1e9 + pause}, {open, 2e9}} {
			a.contact = s.contact
			l.step(a, torch, s.since)
		}
		assert.Len(t, l.pass().Arcs, intervals, "out for %d ns", pause)
		assert.Equal(t, int64(0), l.pass().Start.Since)
		assert.Equal(t, int64(2e9), l.pass().End.Since)
	}
}

// 10 degrees in the millisecond from tick 5 ms, from 0.5 to 3.2 of them: the edges at
// 1, 2 and 3 degrees lie at 5/27, 15/27 and 25/27 of it, in whole microseconds.
func TestMeters_countTheTurn(t *testing.T) {
	m := newMeters(Demo().withDefaults())
	m.boot(0, 0, 0)
	m.turn(0, 0.5, 1, 4e6)
	assert.Empty(t, m.ticks)
	m.turn(0.5, 3.2, 1, 5e6)
	assert.Equal(t, []int64{5_185_000, 5_555_000, 5_925_000}, m.ticks)
	assert.Equal(t, []int64{1, 2, 3}, m.counts)
	// Back from 3.2 to 0.8: over the edges at 3, 2 and 1, after which 2, 1 and 0 are counted.
	m.ticks, m.counts = nil, nil
	m.turn(3.2, 0.8, 1, 6e6)
	assert.Equal(t, []int64{6_083_000, 6_500_000, 6_916_000}, m.ticks)
	assert.Equal(t, []int64{2, 1, 0}, m.counts)
	m.turn(0.8, 1, -1, 7e6)
	assert.Equal(t, int64(-1), m.counts[3], "the other way round")
	assert.Equal(t, int64(8_000_000), m.ticks[3], "at its very end")

	m.boot(100.25, 0, 0) // from there on it counts anew
	assert.Empty(t, m.ticks)
	m.turn(100.25, 101.25, 1, 0)
	assert.Equal(t, []int64{1}, m.counts)
	m.turn(101.25, 101.25+359, 1, 1e6)
	assert.Len(t, m.counts, 360)
	assert.Equal(t, int64(360), m.counts[359])
}

// 550 counts of 0.1 mm in 50 ms would be 1.1 m/s; parts of a count wait.
func TestMeters_wireSpeed(t *testing.T) {
	m := newMeters(Demo().withDefaults())
	m.boot(0, 1.00005, 0)
	assert.InDelta(t, 1.1, m.wireSpeed(1.05505), 1e-9)
	assert.InDelta(t, 0, m.wireSpeed(1.05509), 1e-9)
	assert.InDelta(t, 0.002, m.wireSpeed(1.05511), 1e-9)
}

// In a millisecond the flow comes nearer by 1/30, and 10 kW warm 30 kJ/K by
// 0.8*10e3/30e3 K/s less what 10 K above the air lose in half an hour.
func TestMeters_follow(t *testing.T) {
	m := newMeters(Demo().withDefaults())
	assert.Equal(t, 20.0, m.temperature)
	m.gas, m.temperature = 3, 30
	m.follow(15, 10e3)
	assert.InDelta(t, 3.4, m.gas, 1e-12)
	assert.InDelta(t, 30+(8.0/30-10.0/1800)*1e-3, m.temperature, 1e-12)
}

func TestMeters_areDue(t *testing.T) {
	m := newMeters(Demo().withDefaults())
	m.boot(0, 0, 7e9)
	assert.Equal(t, [slowKinds]int64{7.05e9, 7.1e9, 7.5e9}, m.due)
}

func TestScatter(t *testing.T) {
	assert.Zero(t, scatter(0))
	assert.Zero(t, scatter(0x4321_4321))
	assert.Equal(t, 0.5, scatter(0x0000_8000))
	assert.Equal(t, -0.5, scatter(0x8000_0000))
	assert.Equal(t, -0.25, scatter(0x8000_4000))
}

// said decodes what a listener wrote.
func said(t *testing.T, name string, stream []byte) (all []link.Reading) {
	t.Helper()
	d, err := link.New(name)
	require.NoError(t, err)
	d.Decode(stream, func(r *link.Reading, err error) {
		require.NoError(t, err)
		c := *r
		c.Blocks = nil
		for k := range r.Blocks {
			var b series.Block
			b.CopyFrom(&r.Blocks[k])
			c.Blocks = append(c.Blocks, b)
		}
		all = append(all, c)
	})
	return all
}

// A window of four samples at 200 us: V 10, -20, 30, 40 and I 149, 150, 151, 150
// codes, of which 150 is 15 A and so in arc.
func TestFrames_sumUp(t *testing.T) {
	var out bytes.Buffer
	f := &frames{w: &out, source: Demo().Source(), window: 4, stepUS: 200, seed: 3}
	require.NoError(t, f.boot(0, 0.01004)) // 100 counts and a bit
	for round := range int64(2) {
		require.NoError(t, f.samples(1000+round*800_000, []int16{10, -20}, []int16{149, 150}, 0.02))
		require.NoError(t, f.samples(401_000+round*800_000, []int16{30, 40}, []int16{151, 150}, 0.02006+0.001*float64(round)))
	}
	got := said(t, link.Binary, out.Bytes())
	require.Len(t, got, 2)
	want := series.WindowSums{
		Count: 4, V: 60, I: 600, VI: 1490 - 3000 + 4530 + 6000, VMin: -20, VMax: 40, IMin: 149, IMax: 151, ArcOn: 3, WireCount: 100,
	}
	assert.Equal(t, want, got[0].Blocks[0].Sum)
	assert.Equal(t, [2]int64{1000, 200_000}, [2]int64{got[0].Blocks[0].Tick, got[0].Blocks[0].Step})
	want.WireCount = 10
	assert.Equal(t, want, got[1].Blocks[0].Sum, "each window by itself")
	assert.Equal(t, int64(801_000), got[1].Tick)
	assert.Equal(t, [2]uint32{0, 1}, [2]uint32{got[0].Seq, got[1].Seq})
	assert.Equal(t, uint16(3*7919+1), got[0].Boot)
	assert.Equal(t, 2, f.written)

	require.NoError(t, f.boot(5, 0.05013)) // a boot drops what was begun
	out.Reset()
	require.NoError(t, f.samples(0, []int16{1, 1, 1, 1}, []int16{1, 1, 1, 1}, 0.05023))
	got = said(t, link.Binary, out.Bytes())
	assert.Equal(t, uint32(1), got[0].Blocks[0].Sum.WireCount)
	assert.Equal(t, [2]uint32{0, 3*7919 + 6}, [2]uint32{got[0].Seq, uint32(got[0].Boot)})
}

// 41 turn counts take two frames. Lost frames have their numbers, and are not written.
func TestFrames_turnsAndLosses(t *testing.T) {
	var out bytes.Buffer
	f := &frames{w: &out, source: Demo().Source(), stepUS: 100}
	require.NoError(t, f.boot(0, 0))
	ticks, counts := make([]int64, 41), make([]int64, 41)
	for k := range ticks {
		ticks[k], counts[k] = int64(k)*5000, int64(-k)
	}
	require.NoError(t, f.turns(ticks, counts, true))
	f.lose(true)
	require.NoError(t, f.slow(1, gasFlowChannel, 12))
	f.lose(false)
	require.NoError(t, f.hello(9000))
	require.NoError(t, f.samples(10_000, []int16{1, 2}, []int16{3, 4}, 0))
	require.NoError(t, f.slow(20_000, gasFlowChannel, 12))
	got := said(t, link.Binary, out.Bytes())
	require.Len(t, got, 5)
	assert.Len(t, got[0].Blocks[0].Count, 40)
	assert.Equal(t, []bool{false, true}, []bool{got[0].Blocks[0].AtMark, got[1].Blocks[0].AtMark}, "that of the last count")
	assert.Equal(t, []int64{200_000}, got[1].Blocks[0].Ticks)
	assert.Equal(t, []int64{-40}, got[1].Blocks[0].Count)
	assert.Equal(t, uint32(3), got[2].Seq, "number 2 was lost")
	assert.Equal(t, int64(9000), got[2].Tick)
	assert.Equal(t, int64(100_000), got[3].Blocks[0].Step)
	assert.Equal(t, []float64{12}, got[4].Blocks[0].Value)
	assert.Equal(t, 5, f.written)
	full := errors.New("full")
	f.w = writerFunc(func([]byte) (int, error) { return 0, full })
	assert.ErrorIs(t, f.turns(ticks, counts, true), full)
}

// Three samples at 100 us of 10, 20 and 30 codes and 100, 200 and 330 are 0.2 V and
// 21 A; 6 um of wire in 300 us are 0.02 m/s. The line stands at their end.
func TestLines_sayMeans(t *testing.T) {
	for _, name := range []string{link.Delimited, link.LineProtocol} {
		var out bytes.Buffer
		l := &lines{w: &out, write: lineWriter(name), window: 3, stepNs: 100_000, seed: 2}
		require.NoError(t, l.boot(1, 1))
		for round := range int64(2) {
			require.NoError(t, l.samples(round*300_000, []int16{10, 20}, []int16{100, 200}, 1.5))
			require.NoError(t, l.samples(round*300_000+200_000, []int16{30}, []int16{330}, 1+6e-6*float64(round+1)))
		}
		l.lose(true)
		require.NoError(t, l.samples(0, make([]int16, 3), make([]int16, 3), 1))
		l.lose(false)
		require.NoError(t, l.samples(0, make([]int16, 3), make([]int16, 3), 1))
		got := said(t, name, out.Bytes())
		require.Len(t, got, 3)
		for k := range 2 {
			assert.Equal(t, int64(k+1)*300_000, got[k].Tick)
			assert.Equal(t, []int32{200_000}, got[k].Blocks[0].V)
			assert.Equal(t, []int32{2_100_000}, got[k].Blocks[0].I)
			assert.InDelta(t, 0.02, got[k].Blocks[1].Value[0], 1e-6)
		}
		assert.Equal(t, [3]uint32{0, 1, 3}, [3]uint32{got[0].Seq, got[1].Seq, got[2].Seq})
		assert.Equal(t, uint16(2*7919+2), got[0].Boot)
		assert.Equal(t, 3, l.written)
	}
}

func TestBlocks_breakWhereSomethingIsMissing(t *testing.T) {
	var got []series.Block
	b := &blocks{step: 100_000, yield: func(b *series.Block) error {
		var c series.Block
		c.CopyFrom(b)
		got = append(got, c)
		return nil
	}}
	require.NoError(t, b.boot(2, 0))
	send := func() { require.NoError(t, b.samples(5, []int16{1}, []int16{2}, 0)) }
	send()
	send()
	b.lose(true)
	send()
	require.NoError(t, errors.Join(b.slow(6, 3, 7), b.turns([]int64{6}, []int64{7}, true)))
	b.lose(false)
	send()
	require.NoError(t, errors.Join(b.slow(6, 3, 7), b.turns([]int64{6}, []int64{7}, true)))
	arc := series.Block{Kind: series.Arc, Epoch: 2, Tick: 5, Step: 100_000, V: []int32{1}, I: []int32{2}}
	broken := arc
	broken.Break = true
	assert.Equal(t, []series.Block{
		broken, arc, broken,
		{Kind: series.Slow, Epoch: 2, Tick: 6, Channel: []uint8{3}, Value: []float64{7}},
		{Kind: series.Turn, Epoch: 2, Tick: 6, Ticks: []int64{6}, Count: []int64{7}, AtMark: true},
	}, got)
}
