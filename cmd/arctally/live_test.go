package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/calib"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/analyze/now"
	"arctally/report/page"
)

// strip20ms is a strip of the demo's box with two seconds of one sample every 10 ms.
func strip20ms(t *testing.T, from int64, gap bool, s *strip) {
	t.Helper()
	b := series.Block{Kind: series.Arc, Epoch: s.epoch, Break: gap, Tick: from, Step: int64(10 * time.Millisecond)}
	for k := range 200 {
		b.V, b.I = append(b.V, int32(1000+k)), append(b.I, int32(-k))
	}
	s.block(&b)
}

func TestStrip(t *testing.T) {
	s := newStrip(1, []calib.Calibration{{Channel: "voltage", Gain: 2, Offset: 1}, {Channel: wireChannel, Gain: 0.5}})
	source := sensorbox.Demo().Source()
	s.source(source)
	strip20ms(t, 0, false, s)
	s.block(&series.Block{Kind: series.Slow, Step: 1, Channel: []uint8{2, 2}, Value: []float64{0.1, 0.1}, Ticks: []int64{100e6, 200e6}})
	told, any := s.news("r")
	require.True(t, any)
	require.Len(t, told.Lines, 3)
	v := told.Lines[0]
	assert.InDelta(t, 0.05, told.Step, 0)
	require.Len(t, v.At, 39, "the last stretch is still open")
	scale := source.Channels[0].Scale
	assert.InDelta(t, 2*1000*scale+1, *v.Low[0], 1e-9)
	assert.InDelta(t, 2*1004*scale+1, *v.High[0], 1e-9)
	assert.InDelta(t, 2*1002*scale+1, *v.Mean[0], 1e-9)
	assert.InDelta(t, 0.05, v.At[1], 1e-12)
	assert.Equal(t, wireUnit, told.Lines[2].Unit)
	assert.InDelta(t, 3, *told.Lines[2].Mean[0], 1e-9, "0.1 m/s, halved")
	_, any = s.news("r")
	assert.False(t, any)

	strip20ms(t, 10e9, true, s)
	told, _ = s.news("r")
	assert.Nil(t, told.Lines[0].Mean[1], "where something is missing the line breaks")
	assert.Len(t, s.all("r").Lines[0].At, 39+1+1+39)
	for k := range int64(40) {
		strip20ms(t, 20e9+2e9*k, false, s)
		s.news("r")
	}
	assert.LessOrEqual(t, len(s.all("r").Lines[0].At), stripCells)
	s.block(&series.Block{Kind: series.Sums, Epoch: 1, Tick: 0, Step: 100_000, Sum: series.WindowSums{Count: 10, V: 1000, VMin: 90, VMax: 110}})
	s.block(&series.Block{Kind: series.Sums, Epoch: 1, Tick: 1e9, Step: 100_000, Sum: series.WindowSums{Count: 10, V: 1000, VMin: 90, VMax: 110}})
	told, _ = s.news("r")
	assert.Equal(t, 1, told.Epoch)
	assert.InDelta(t, 2*100*scale+1, *told.Lines[0].Mean[0], 1e-9, "the former epoch has gone")
}

func TestStrip_WiderAtSpeed(t *testing.T) {
	for speed, want := range map[float64]time.Duration{0.5: 50 * time.Millisecond, 10: 50 * time.Millisecond, 120: 300 * time.Millisecond} {
		s := newStrip(speed, nil)
		assert.EqualValues(t, want, s.step, speed)
		assert.LessOrEqual(t, speed*float64(liveEvery)/float64(s.step), float64(stripEvent))
	}
}

func TestHearing(t *testing.T) {
	now := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	h := newHearing("port", func() time.Time { return now })
	assert.Equal(t, page.LinkGood, h.link().State, "there was no time yet for a byte")
	assert.Nil(t, h.link().Silent)
	now = now.Add(3 * time.Second)
	assert.Equal(t, page.LinkSilent, h.link().State)
	for k := range int64(12) {
		h.block(&series.Block{Kind: series.Arc, Tick: k * 1e8, Step: 1e5, V: make([]int32, 1000), I: make([]int32, 1000)})
	}
	h.account(acquire.Tally{Frames: 1})
	l := h.link()
	assert.Equal(t, page.LinkGood, l.State)
	require.NotNil(t, l.Rate)
	assert.InDelta(t, 10000, *l.Rate, 1)
	h.account(acquire.Tally{Frames: 2, Lost: 3, Gaps: 1})
	l = h.link()
	assert.Equal(t, page.LinkDoubtful, l.State)
	assert.Contains(t, l.Words, "3 frames were lost")
	for range 11 {
		now = now.Add(time.Second)
		h.account(acquire.Tally{Frames: 3, Lost: 3, Gaps: 1})
	}
	assert.Equal(t, page.LinkGood, h.link().State)
	assert.InDelta(t, 11, *h.link().Silent, 1e-9)
	h.event(series.Event{Kind: series.Unplugged, Text: "gone"})
	assert.Equal(t, page.LinkUnplugged, h.link().State)
	h.event(series.Event{Kind: series.Replugged})
	assert.Equal(t, page.LinkDoubtful, h.link().State)
}

func TestMonitor_CoversInTheDirectionOfTheTorch(t *testing.T) {
	m := &monitor{}
	over := now.Sector{From: 350, To: 20}
	assert.True(t, m.covers(over, 5))
	assert.False(t, m.covers(over, 180))
	m.turn(&page.LivePlace{Angle: new(100.0)})
	m.turn(&page.LivePlace{Angle: new(90.0)})
	assert.False(t, m.covers(over, 5), "the other way round it is the rest of the circle")
	assert.True(t, m.covers(over, 180))
}

func TestBoxTime(t *testing.T) {
	var e boxTime
	e.see(&series.Block{Kind: series.Turn, Ticks: []int64{5e9, 7e9}, Count: []int64{1, 2}})
	e.see(&series.Block{Kind: series.Turn, Epoch: 1, Ticks: []int64{1e9, 2e9}, Count: []int64{1, 2}})
	assert.InDelta(t, 3, e.seconds(), 1e-12)
}
