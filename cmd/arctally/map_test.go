package main

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/report/sheet"
)

// How near to the truth the map comes.
const (
	placeCell   = 5.0 // degrees
	depthCell   = 3.0 // mm: a pitch
	evenHeight  = 0.01
	conservedIn = 1e-9
)

func (r *repair) unrolled(t *testing.T) sheet.MapObject {
	t.Helper()
	var m sheet.MapObject
	r.readBack(t, "map", &m)
	return m
}

// checkConserved wants what the cells sum up to be what the passes did.
func (r *repair) checkConserved(t *testing.T, m sheet.MapObject) {
	t.Helper()
	energy, arc, volume := *m.Beyond.Energy, *m.Beyond.ArcTime, *m.Beyond.Volume
	for _, c := range m.Cells {
		energy, arc, volume = energy+*c.Energy, arc+*c.ArcTime, volume+*c.Volume
	}
	var wantEnergy, wantArc, wantVolume float64
	for _, p := range r.passes.Passes {
		wantEnergy, wantArc = wantEnergy+*p.Energy, wantArc+*p.ArcTime
		wantVolume += *p.Wire * 1000 * math.Pi / 4 * 0.9 * 0.9 * 0.95 // the demo's wire; efficiency as supposed
	}
	assert.InEpsilon(t, wantEnergy, energy, conservedIn)
	assert.InEpsilon(t, wantArc, arc, conservedIn)
	assert.InEpsilon(t, wantVolume, volume, conservedIn)
}

// TestEndToEnd_MapOfACleanHelix wants the layer as thick everywhere as the wire
// that the box really fed makes it, but where the run begins and ends.
func TestEndToEnd_MapOfACleanHelix(t *testing.T) {
	r := recordRepair(t, jobtest.Short(t, "helix", jobtest.FourTurns), nil)
	m := r.unrolled(t)
	r.checkConserved(t, m)
	wire := 0.0
	for _, p := range r.truth.Passes {
		wire += float64(p.WireFed)
	}
	const welded = 324.0 / 360
	inner := 46*46 - 0.95*wire*1000*0.9*0.9/4/(welded*12)
	want := 46 - math.Sqrt(inner)
	worst := 0.0
	for _, c := range m.Cells {
		if seam := c.Angle < 5 || c.Angle >= 355; c.BesideGap || seam {
			continue
		}
		worst = math.Max(worst, math.Abs(*c.Height/want-1))
	}
	t.Logf("build-up %.3f mm; farthest off in any cell away from gap and seam: %.2f %%", want, 100*worst)
	assert.Less(t, worst, evenHeight)
	assert.Equal(t, "enough", *m.CleanUp.Answer)
	assert.Empty(t, m.CleanUp.Short)
}

// TestEndToEnd_MapShowsHoles loses the arc at one place in each layer pattern, and
// wants the least stock there.
func TestEndToEnd_MapShowsHoles(t *testing.T) {
	for _, c := range []struct {
		pattern string
		fault   sensorbox.Fault
	}{
		{"helix", sensorbox.Fault{Kind: sensorbox.ArcOut, Pass: 1, Turn: 2, From: 250, Duration: 3}},
		{"helix", sensorbox.Fault{Kind: sensorbox.ArcOut, Pass: 2, Turn: 4, From: 150, Duration: 2}},
		{"rings", sensorbox.Fault{Kind: sensorbox.ArcOut, Pass: 3, Turn: 1, From: 200, Duration: 2}},
	} {
		t.Run(c.pattern, func(t *testing.T) {
			r := recordRepair(t, jobtest.Short(t, c.pattern, jobtest.FourTurns), []sensorbox.Fault{c.fault})
			require.Len(t, r.truth.Faults, 1)
			m, truth := r.unrolled(t), r.truth.Faults[0]
			r.checkConserved(t, m)
			turned := float64(truth.Duration) * 1.25 / 60 * 360
			middle := float64(truth.Angle) + turned/2
			off := math.Abs(math.Remainder(*m.CleanUp.Angle-middle, 360))
			deep := math.Abs(*m.CleanUp.Depth - float64(truth.Depth)*1000)
			t.Logf("least stock %.2f mm; %.1f degrees from the middle of a hole of %.1f, %.1f mm deeper or higher", *m.CleanUp.LeastStock, off, turned, deep)
			assert.LessOrEqual(t, off, turned/2+placeCell)
			assert.LessOrEqual(t, deep, depthCell)
		})
	}
}
