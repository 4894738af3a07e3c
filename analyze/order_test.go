package analyze

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze/arc"
	"arctally/analyze/pass"
)

// journal keeps what is handed on, as words in the order in which it came.
type journal []string

func (j *journal) Samples(all []arc.Sample) {
	for _, s := range all {
		*j = append(*j, fmt.Sprintf("sample %d", s.Tick))
	}
}

func (j *journal) Window(w arc.Window) { *j = append(*j, fmt.Sprintf("window %d", w.End)) }

func (j *journal) Count(int64, int64) {}

func (j *journal) Turn(tick int64) { *j = append(*j, fmt.Sprintf("turn at %d", tick)) }

func (j *journal) Settled(int64) int64 { return maxTick - 1 }

// ordered is an order of a source, without calibrations, that tells what it hands on.
func ordered(t *testing.T, s series.Source, calibrations ...calib.Calibration) (*order, *journal) {
	t.Helper()
	words := &journal{}
	slow := func(c series.Channel, line calib.Line) slowChannel {
		if c.Name != "wire_speed" {
			return slowChannel{}
		}
		return slowChannel{
			take: func(tick int64, value float64) { *words = append(*words, fmt.Sprintf("wire %g at %d", value, tick)) },
			toSI: line.Of,
		}
	}
	i := newInstruments(calibrations, slow)
	i.speaks(s, pass.Moment{}, pass.Moment{})
	return &order{instruments: &i, taker: words, done: minTick}, words
}

func samplesAt(ticks ...int64) *series.Block {
	b := &series.Block{Kind: series.Arc, Ticks: ticks}
	for range ticks {
		b.V, b.I = append(b.V, 1750), append(b.I, 1400)
	}
	return b
}

// At one tick turn counts and readings come before the sample or the window.
func TestOrder_byTheTick(t *testing.T) {
	o, words := ordered(t, source(360))
	o.block(samplesAt(10, 20, 30))
	o.block(&series.Block{Kind: series.Slow, Ticks: []int64{30, 25, 40}, Channel: []uint8{2, 3, 2}, Value: []float64{5, 6, 7}})
	o.block(&series.Block{Kind: series.Turn, Ticks: []int64{20, 31}, Count: []int64{1, 2}})
	sums := &series.Block{Kind: series.Sums, Tick: 31, Step: 1}
	sums.Sum.Count = 4
	o.block(sums)
	assert.Empty(t, *words, "all of it waits for slower channels")
	o.drain(34)
	assert.Equal(t, journal{"sample 10", "turn at 20", "sample 20", "wire 5 at 30", "sample 30"}, *words)
	o.drain(35)
	assert.Equal(t, journal{"turn at 31", "window 35"}, (*words)[5:])
	o.drain(maxTick)
	assert.Len(t, *words, 7, "there is no sample after the last reading")
	o.drainAll()
	assert.Equal(t, "wire 7 at 40", (*words)[7])
}

// What is older than half a second by the newest sample has waited long enough.
func TestOrder_waitsForHalfASecond(t *testing.T) {
	o, words := ordered(t, source(360))
	o.block(samplesAt(0, 1, lag))
	assert.Equal(t, journal{"sample 0"}, *words)
	o.block(samplesAt(lag-5, lag-6)) // brings nothing newer
	assert.Len(t, *words, 1)
	sums := &series.Block{Kind: series.Sums, Tick: 0, Step: 1}
	sums.Sum.Count = lag + 1
	o.block(sums)
	assert.Equal(t, journal{"sample 0", "sample 1"}, *words)
	o.newEpoch()
	assert.Len(t, *words, 6)
	o.block(&series.Block{Kind: series.Turn, Ticks: []int64{3}, Count: []int64{1}})
	assert.Len(t, *words, 6, "there is no sample to wait for, in the new epoch")
	assert.Zero(t, o.late)
}

// A turn count that comes after the sample at its tick was handed on is late.
func TestOrder_lateTurns(t *testing.T) {
	o, words := ordered(t, source(360))
	o.block(samplesAt(10, 20, 15, 30+lag))
	require.Len(t, *words, 3, "in the order in which they came")
	o.block(&series.Block{Kind: series.Turn, Ticks: []int64{19, 20, 21}, Count: []int64{1, 2, 3}})
	assert.EqualValues(t, 2, o.late)
	sums := &series.Block{Kind: series.Sums, Tick: 30 + lag, Step: 1}
	sums.Sum.Count = 10
	o.block(sums)
	o.drainAll()
	o.block(&series.Block{Kind: series.Turn, Ticks: []int64{40 + lag}, Count: []int64{4}})
	assert.EqualValues(t, 3, o.late, "a window too was handed on")
}

// Between blocks of even steps, more than a step and a half is a gap in the data.
func TestOrder_gapsBetweenBlocks(t *testing.T) {
	for name, c := range map[string]struct {
		tick int64
		mark bool
		want arc.Mark
	}{
		"in time": {1100, false, 0}, "half a step late": {1150, false, 0}, "more": {1151, false, arc.Break}, "said to be broken": {1100, true, arc.Break},
	} {
		o, _ := ordered(t, source(360))
		first := &series.Block{Kind: series.Arc, Tick: 900, Step: 100, V: []int32{1, 2}, I: []int32{3, 4}}
		o.pushSamples(first)
		assert.Zero(t, o.samples.items[0].Mark, "nothing came before it")
		o.pushSamples(&series.Block{Kind: series.Arc, Tick: c.tick, Step: 100, V: []int32{1, 2}, I: []int32{3, 4}, Break: c.mark})
		assert.Equal(t, c.want, o.samples.items[2].Mark, name)
		assert.Zero(t, o.samples.items[3].Mark, name)
	}
	o, _ := ordered(t, source(360))
	o.pushSamples(samplesAt(0, 1))
	o.pushSamples(samplesAt(1_000_000))
	assert.Zero(t, o.samples.items[2].Mark, "samples that have their own ticks are as far apart as they are")
	o.pushSamples(&series.Block{Kind: series.Arc})
	assert.Len(t, o.samples.items, 3)
}

// Samples at 1 kHz or more give the true power, where the source measures it so.
func TestOrder_averaged(t *testing.T) {
	mean := source(360)
	mean.Channels[1].Basis = series.Average
	for name, c := range map[string]struct {
		source series.Source
		block  *series.Block
		want   arc.Mark
	}{
		"1 kHz":            {source(360), &series.Block{Step: 1_000_000}, 0},
		"slower":           {source(360), &series.Block{Step: 1_000_001}, arc.Averaged},
		"ticks of its own": {source(360), &series.Block{Step: 9_000_000, Ticks: []int64{1}}, 0},
		"one is a mean":    {mean, &series.Block{Step: 1_000_000}, arc.Averaged},
	} {
		o, _ := ordered(t, c.source)
		assert.Equal(t, c.want, o.averaged(c.block), name)
	}
}

func TestOrder_flags(t *testing.T) {
	o, _ := ordered(t, source(360))
	o.pushSamples(samplesAt(1))
	assert.False(t, o.flagged)
	flagged := samplesAt(2, 3)
	flagged.Flag = []bool{true, false}
	o.pushSamples(flagged)
	o.pushSamples(samplesAt(4))
	assert.True(t, o.flagged)
	for k, want := range []arc.Mark{0, arc.FlagOn, arc.FlagOff, 0} {
		assert.Equal(t, want, o.samples.items[k].Mark)
	}
}

// A calibration that holds from tick 100 on is applied from there, whichever way the ticks
// go.
func TestOrder_calibrationsByTheTick(t *testing.T) {
	o, words := ordered(t, source(360))
	o.instruments.calibrate(calib.Calibration{Channel: "voltage", Gain: 2}, pass.Moment{Tick: 100})
	o.instruments.calibrate(calib.Calibration{Channel: "wire_speed", Gain: 3, Offset: 1}, pass.Moment{Tick: 100})
	o.pushSamples(samplesAt(99, 100, 101, 98, 100, -5))
	for k, want := range []float64{17.5, 35, 35, 17.5, 35, 17.5} {
		assert.InDelta(t, want, o.samples.items[k].V, 1e-12, "sample %d", k)
		assert.InDelta(t, 140, o.samples.items[k].I, 1e-12)
	}
	o.pushReadings(&series.Block{Kind: series.Slow, Ticks: []int64{99, 100, 100}, Channel: []uint8{2, 2, 4}, Value: []float64{5, 5, 5}})
	o.drainAll()
	assert.Equal(t, journal{"wire 5 at 99", "sample 99", "wire 16 at 100", "sample 100"}, (*words)[:4])
	assert.Len(t, *words, 8, "a channel that the source does not have is nobody's")
}

// Four samples of 2 ms, of 10 and 20 V, 100 and 200 A: 2*(1000 + 4000) W over 8 ms in all.
func TestOrder_windows(t *testing.T) {
	s := source(360)
	s.WirePerCount = 1e-4
	o, _ := ordered(t, s)
	b := &series.Block{Kind: series.Sums, Tick: 1000, Step: 2_000_000, Break: true}
	b.Sum.Count, b.Sum.ArcOn, b.Sum.WireCount = 4, 3, 7
	b.Sum.V, b.Sum.I, b.Sum.VI = 2*(1000+2000), 2*(1000+2000), 2*(1000*1000+2000*2000)
	o.pushWindow(b)
	w := *o.windows.next()
	assert.Equal(t, int64(1000), w.Start)
	assert.Equal(t, int64(1000+8_000_000), w.End)
	assert.Equal(t, int64(6_000_000), w.Arc)
	assert.InDelta(t, 10_000*0.002, w.Energy, 1e-9)
	assert.InDelta(t, 15, w.V, 1e-12)
	assert.InDelta(t, 150, w.I, 1e-12)
	assert.InDelta(t, 7e-4, w.Wire, 1e-15)
	assert.True(t, w.Break)
	assert.Equal(t, w.End, o.pushed)
	b.Tick = 500
	o.pushWindow(b)
	assert.Equal(t, int64(1000+8_000_000), o.pushed)
	b.Sum.Count = 0
	o.block(b)
	assert.Len(t, o.windows.items, 2, "a window of nothing is none")
}

func TestQueue(t *testing.T) {
	var q queue[int]
	assert.Nil(t, q.next())
	for k := range 6 {
		q.push(k)
	}
	for k := range 3 {
		assert.Equal(t, k, *q.next())
		q.take()
	}
	q.tidy()
	assert.Len(t, q.items, 6, "half of it is no matter")
	q.take()
	q.tidy()
	assert.Equal(t, []int{4, 5}, q.items)
	assert.Equal(t, 4, *q.next())
	copy(q.grow(2), []int{6, 7})
	assert.Equal(t, []int{4, 5, 6, 7}, q.items)
}

// A block at equal steps gives the same samples as one that says every tick, wherever a
// code is beyond any arc and wherever another calibration begins.
func TestOrder_evenlyIsSampleBySample(t *testing.T) {
	for seed := range uint64(200) {
		dice := rand.New(rand.NewPCG(seed, 5))
		block := series.Block{Kind: series.Arc, Tick: int64(dice.IntN(100)), Step: int64(dice.IntN(3)) * 50_000, Break: dice.IntN(3) == 0}
		each := block
		for k := range 1 + dice.IntN(40) {
			v := int32(dice.IntN(3000))
			if dice.IntN(60) == 0 {
				v = math.MaxInt32
			}
			block.V, block.I = append(block.V, v), append(block.I, int32(dice.IntN(3000)))
			each.Ticks = append(each.Ticks, block.At(k))
		}
		each.V, each.I = block.V, block.I
		var made [2]string
		for k, b := range []*series.Block{&block, &each} {
			o, _ := ordered(t, source(360))
			o.broken = seed%4 == 0
			o.instruments.calibrate(calib.Calibration{Channel: "voltage", Gain: 1.5, Offset: 0.25}, pass.Moment{Tick: block.Tick + 300_000})
			o.instruments.calibrate(calib.Calibration{Channel: "current", Gain: 1.1}, pass.Moment{Tick: block.Tick + 900_001})
			o.pushSamples(b)
			made[k] = fmt.Sprint(o.samples.items, o.beyond, o.pushed, o.broken)
		}
		require.Equal(t, made[1], made[0])
	}
}

// settling takes samples as they are; what is settled is set by the test.
type settling struct {
	journal
	samples []arc.Sample
	until   int64
}

func (s *settling) Samples(all []arc.Sample) { s.samples = append(s.samples, all...) }

func (s *settling) Settled(int64) int64 { return s.until }

// Samples that wait are handed on piece by piece, wherever that cuts a block: the same ones
// as a plain loop over all of them makes, and none before it is settled.
func TestOrder_piecesArePlain(t *testing.T) {
	for seed := range uint64(60) {
		dice := rand.New(rand.NewPCG(seed, 9))
		o, _ := ordered(t, source(360))
		taker := &settling{until: minTick}
		o.taker = taker
		var want []arc.Sample
		tick, newest, broken := int64(dice.IntN(100)), int64(minTick), false
		for k := range 12 {
			b := &series.Block{Kind: series.Arc, Tick: tick, Step: 100_000, Break: dice.IntN(4) == 0}
			n := []int{1, 3, pieceLength, pieceLength + 1, 2*pieceLength + dice.IntN(500)}[dice.IntN(5)]
			for range n {
				code := int32(dice.IntN(3000))
				if dice.IntN(800) == 0 {
					code = math.MaxInt32
				}
				b.V, b.I = append(b.V, code), append(b.I, int32(dice.IntN(3000)))
				if seed%3 == 0 {
					b.Flag = append(b.Flag, dice.IntN(2) == 0)
				}
			}
			if dice.IntN(5) == 0 {
				o.missed, broken = true, true // by something that is not used, just before it
			}
			broken = broken || b.Break || k > 0 && tick-newest > 150_000
			for i, code := range b.V {
				s := arc.Sample{Tick: tick + int64(i)*b.Step, V: float64(code) * 0.01, I: float64(b.I[i]) * 0.1}
				newest = s.Tick
				if s.V > mostVolts {
					broken = true
					continue
				}
				if b.Flag != nil {
					s.Mark |= flag(b.Flag[i])
				}
				if broken {
					s.Mark, broken = s.Mark|arc.Break, false
				}
				want = append(want, s)
			}
			taker.until = max(taker.until, newest-dice.Int64N(3_000)*100_000)
			o.block(b)
			for _, s := range taker.samples {
				require.LessOrEqual(t, s.Tick, taker.until)
			}
			tick = newest + []int64{100_000, 150_000, 150_001}[dice.IntN(3)]
		}
		o.drainAll()
		require.Equal(t, want, taker.samples, "seed %d", seed)
		require.Empty(t, o.samples.items)
	}
}
