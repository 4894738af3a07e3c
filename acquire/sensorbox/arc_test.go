package sensorbox

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shortBelow divides short from arc, in V: between the 8.6 V of the one and the
// 21.1 V of the other, well away from both.
const shortBelow = 13.0

// bounds is one row of the recorded arc's statistics.
type bounds struct{ low, high float64 }

// recordedStatistics reads the statistics of the recorded arcs by quantity.
func recordedStatistics(t *testing.T) map[string]bounds {
	t.Helper()
	text, err := os.ReadFile("../../testdata/standards/short-circuit-arc.tsv")
	require.NoError(t, err)
	rows := map[string]bounds{}
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n")[1:] {
		f := strings.Split(line, "\t")
		require.Len(t, f, 8)
		low, err := strconv.ParseFloat(f[4], 64)
		require.NoError(t, err)
		high, err := strconv.ParseFloat(f[5], 64)
		require.NoError(t, err)
		rows[f[1]] = bounds{low, high}
	}
	return rows
}

// statistics computes the same figures from the signal alone.
func statistics(all []sample, step float64) map[string]float64 {
	var short, burn []sample
	var power, square, v, i float64
	shorts, long, run := 0.0, 0.0, 0.0
	for _, s := range all {
		v, i, power, square = v+s.v, i+s.i, power+s.v*s.i, square+s.i*s.i
		if s.v < shortBelow {
			short = append(short, s)
			run++
			continue
		}
		burn = append(burn, s)
		if run > 0 {
			shorts++
		}
		if run*step > 1e-3 {
			long++
		}
		run = 0
	}
	n := float64(len(all))
	vShort, _ := means(short)
	vBurn, _ := means(burn)
	return map[string]float64{
		"mean voltage": v / n, "mean current": i / n,
		"rms current over mean current": math.Sqrt(square/n) / (i / n),
		"shorts":                        shorts / (n * step), "shorts over 1 ms": long / (n * step),
		"share of time in the short": float64(len(short)) / n,
		"mean voltage in the short":  vShort, "mean voltage in the arc": vBurn,
		"true power over mean V times mean I": power * n / (v * i),
	}
}

// TestRecordedArcStatistics holds the signal against the statistics of recorded
// arcs. The bounds are wider than the two recorded runs lie apart, because the
// wire and the stand-off of those arcs are not known.
func TestRecordedArcStatistics(t *testing.T) {
	if testing.Short() {
		t.Skip("it lays whole passes")
	}
	rec := record(t, recordedArc())
	arc := rec.truth.Passes[0].Arcs[0]
	all := between(rec.samples, 0, arc.Start.Tick+500e6, arc.End.Tick-100e6)
	require.Greater(t, len(all), 500_000, "10 s at 50 kHz")
	got := statistics(all, 20e-6)

	before := between(rec.samples, 0, arc.Start.Tick-5e6, arc.Start.Tick-2e6)
	noLoad, idle := means(before)
	got["open circuit voltage"] = noLoad
	assert.InDelta(t, 0, idle, 0.1, "open circuit current")

	want := recordedStatistics(t)
	require.Len(t, got, len(want))
	for quantity, b := range want {
		t.Logf("%s: %.4g", quantity, got[quantity])
		assert.True(t, got[quantity] >= b.low && got[quantity] <= b.high, "%s: %.4g is not within %g..%g", quantity, got[quantity], b.low, b.high)
	}
}

// steadyArc returns an arc with its feed on, after it has settled.
func steadyArc(diameter, voltage, current, feed float64) *arc {
	a := newArc(lawOf(diameter), rand.New(rand.NewPCG(3, 4)), 10*diameter+standoffBase)
	a.line = voltage + sourceSlope*current
	a.feedTarget, a.sourceOn = feed, true
	for range 100_000 {
		a.step()
	}
	return a
}

func TestMeltingEqualsFeed(t *testing.T) {
	for _, c := range []struct {
		id                               string
		diameter, voltage, current, feed float64
	}{
		{"recorded arc", 1.2e-3, 18.9, 195, 4.35 / 60},
		{"demo", 0.9e-3, 17.5, 140, 5.5 / 60},
		{"long arc", 0.9e-3, 20.5, 140, 5.5 / 60},
	} {
		t.Run(c.id, func(t *testing.T) {
			a := steadyArc(c.diameter, c.voltage, c.current, c.feed)
			fed, melted := a.fed, a.melted
			for range 1_000_000 {
				a.step()
			}
			assert.InEpsilon(t, c.feed*10, a.fed-fed, 1e-6, "10 s of feed")
			assert.InEpsilon(t, a.fed-fed, a.melted-melted, 0.01)
		})
	}
}

// TestSourceLine checks the law of the source: over a long time the inductance
// takes no mean voltage, whatever the arc does.
func TestSourceLine(t *testing.T) {
	a := steadyArc(1.2e-3, 18.9, 195, 4.35/60)
	var v, i float64
	const n = 1_000_000
	for range n {
		a.step()
		v += a.voltage
		i += a.through
	}
	assert.InEpsilon(t, a.line-sourceSlope*i/n, v/n, 1e-3)
}

// TestDeadShort holds a wire in the pool: the current rises by the inductance
// and ends where slope and leads leave it.
func TestDeadShort(t *testing.T) {
	a := newArc(lawOf(1.2e-3), rand.New(rand.NewPCG(3, 4)), 15e-3)
	a.line, a.sourceOn = 32, true
	a.contact, a.neck, a.stubbing = draining, 1, math.Inf(1)
	a.current = 10 * kneeCurrent // above the knee, where the line alone drives
	resistance := sourceSlope + leadResistance + a.extension*a.law.ohmPerMetre + neckResistance/(1+neckFloor)
	first := a.current
	a.step()
	assert.InEpsilon(t, (a.line-resistance*first)/sourceInductor, (a.current-first)/stepTime, 1e-6, "rise")
	for range 3000 {
		a.extension = 15e-3 - 2*parkedGap
		a.step()
	}
	assert.InEpsilon(t, a.line/resistance, a.current, 1e-3, "end")
}

// TestFirstTouchIsBrief checks that a cold start is a start to within 1.5 ms:
// truth and record then mean the same moment by it.
func TestFirstTouchIsBrief(t *testing.T) {
	for seed := range uint64(20) {
		a := newArc(lawOf(0.9e-3), rand.New(rand.NewPCG(seed, 4)), 12e-3)
		a.line, a.feedTarget, a.sourceOn = 27, 5.5/60, true
		touch := 0
		for a.contact != burning {
			a.step()
			if a.contact == fusing {
				touch++
			}
		}
		assert.Less(t, float64(touch)*stepTime, 1.5e-3)
		assert.Positive(t, touch)
	}
}

func TestDropFollowsItsVolume(t *testing.T) {
	a := steadyArc(0.9e-3, 17.5, 140, 5.5/60)
	for range 100_000 {
		a.step()
		require.InEpsilon(t, sphere(a.drop), a.dropSize, 0.01)
	}
}
