package draw

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// invented is a dipping arc around an event, with its strike and a hole in the data.
func invented(e *sheet.Event) *Wave {
	_, from, until := WaveTime(e)
	w := &Wave{From: from, Until: until}
	put := func(x *Extremes, low, high float64) { x.Low, x.High = append(x.Low, low), append(x.High, high) }
	for k := range 200 {
		v, i := 17.5, 140.0
		if k > 60 && k < 130 {
			v = 20.4
		}
		wobble := math.Sin(float64(k))
		switch {
		case k >= 160 && k < 168:
			put(&w.Voltage, math.NaN(), math.NaN())
			put(&w.Current, math.NaN(), math.NaN())
			put(&w.Power, math.NaN(), math.NaN())
			continue
		case k == 20:
			put(&w.Voltage, 2, 78.4)
			put(&w.Current, 0, 412)
		default:
			put(&w.Voltage, v-9+wobble, v+4+wobble)
			put(&w.Current, i-45+5*wobble, i+60+5*wobble)
		}
		put(&w.Power, 700, 3600+100*wobble)
	}
	return w
}

// judgedOver are means every eighth of a second.
func judgedOver(w *Wave) {
	w.Means = nil
	for k, tick := 0, w.From; tick < w.Until; k, tick = k+1, tick+125e6 {
		v := 17.5
		if share := float64(tick-w.From) / float64(w.Until-w.From); share > 0.3 && share < 0.65 {
			v = 20.4
		}
		w.Means = append(w.Means, finding.JudgedMeans{Tick: tick, Voltage: v, Current: 140, Power: v * 138, Joins: k > 0})
	}
}

func TestEventWaveGolden(t *testing.T) {
	s := sheettest.New()
	e := &s.Events[0]
	w := invented(e)
	judgedOver(w)
	f := EventWave(s, e, w)
	sheettest.Golden(t, "event-wave.svg", string(f.Drawing.SVG())+"\n")
	assert.Contains(t, WaveNote(s), "mean over 0.5 s")
	assert.Equal(t, "Event 1: "+string(e.Cause), f.Title)
}

// The strike of an arc does not set the scale: it is cut, marked, and said.
func TestStrip_Scale(t *testing.T) {
	s := sheettest.New()
	e := &s.Events[0]
	w := invented(e)
	judgedOver(w)
	volts := strips(s, w)[0]
	low, high := volts.scale()
	assert.Less(t, high, 30.0)
	assert.Greater(t, low, 5.0)
	assert.Contains(t, string(EventWave(s, e, w).Drawing.SVG()), ">78.4 V</text>")
	w.Voltage.High[20], w.Voltage.Low[20] = 21, 9
	again := strips(s, w)[0]
	_, without := again.scale()
	assert.InDelta(t, high, without, 0.5, "with the strike as without it")

	for k := range w.Means[:3] { // what is judged is never cut, however rare it is
		w.Means[k].Voltage = 40
	}
	again = strips(s, w)[0]
	_, high = again.scale()
	assert.Equal(t, 40.0, high)
	for k := range again.Low {
		again.Low[k], again.High[k] = 17.5, 17.5
	}
	again.means = nil
	low, high = again.scale()
	assert.Equal(t, []float64{16.5, 19}, []float64{low, high}, "the limits are always on it")
}

// What wavers about zero stands on zero: no volts below it are made up, and no cut is told.
func TestStrip_OnZero(t *testing.T) {
	s := sheettest.New()
	e := &s.Events[0]
	w := invented(e)
	for k := range w.Power.Low {
		if !math.IsNaN(w.Power.Low[k]) {
			w.Power.Low[k] = -40
		}
	}
	text := string(EventWave(s, e, w).Drawing.SVG())
	power := text[strings.Index(text, `class="start">Current, A`):]
	assert.NotContains(t, power, `class="end">-`)
	assert.NotContains(t, power, `cutword`)
	for k := range w.Power.Low {
		if !math.IsNaN(w.Power.Low[k]) {
			w.Power.Low[k] = -900
		}
	}
	text = string(EventWave(s, e, w).Drawing.SVG())
	assert.Contains(t, text[strings.Index(text, `class="start">Current, A`):], `class="end">-`)
}

func TestEventWave_Holes(t *testing.T) {
	s := sheettest.New()
	e := &s.Events[0]
	w := invented(e)
	text := string(EventWave(s, e, w).Drawing.SVG())
	assert.Equal(t, 3, strings.Count(text, `class="unseen"`), "a hole a strip")
	measured := strings.Split(strings.Split(text, `" class="measured"`)[0], `<path d="`)
	assert.Equal(t, 2, strings.Count(measured[len(measured)-1], "M"), "nothing is drawn across it")
	assert.NotContains(t, text, "NaN")
	assert.NotContains(t, text, `class="mean"`, "no mean was judged")

	judgedOver(w)
	mean := strings.Split(strings.Split(string(EventWave(s, e, w).Drawing.SVG()), `" class="mean"`)[0], `<path d="`)
	assert.Equal(t, 2, strings.Count(mean[len(mean)-1], "M"), "nor the mean")

	w.Power = Extremes{}
	require.NotContains(t, string(EventWave(s, e, w).Drawing.SVG()), "Power, W")
	assert.Nil(t, EventWave(s, e, &Wave{From: w.From, Until: w.Until, Voltage: Extremes{Low: []float64{math.NaN()}, High: []float64{math.NaN()}}}).Drawing)
	assert.Equal(t, &Figure{Title: "Event 1: " + string(e.Cause)}, EventWave(s, e, nil))
}

func TestWaveTime(t *testing.T) {
	s := sheettest.New()
	e := s.Events[0]
	own := *e.Lead
	e.Lead = &own
	for duration, want := range map[quantity.Seconds][2]int64{0.2: {-1e9, 1.2e9}, 8: {-4e9, 12e9}, 900: {-10e9, 30e9}} {
		own.Duration = duration
		epoch, from, until := WaveTime(&e)
		assert.Equal(t, own.Start.Epoch, epoch)
		assert.Equal(t, want, [2]int64{from - own.Start.Tick, until - own.Start.Tick})
	}
}
