package sensorbox

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

// counted is one count of the turn counter as it came.
type counted struct {
	epoch int
	since int64 // ns since the first boot, where the count stands
	sent  int64 // ns, the newest sample before it
	count int64
	first bool // of its frame
	mark  bool // at the mark
}

// quick is two rings of 3 s each, from 50 degrees on.
func quick() Plan {
	p := brisk()
	p.Pattern, p.Gaps = Rings, nil
	p.StartAngle = 50
	p.RotationSpeed = quantity.Of[quantity.TurnsPerSecond](20, "rpm")
	p.SampleRate = 1000
	return p
}

// count lays a plan and returns the counts.
func count(t *testing.T, p Plan) (all []counted, truth Truth) {
	t.Helper()
	box, err := New(p)
	require.NoError(t, err)
	newest, booted := int64(0), int64(0)
	epoch := 0
	truth, err = box.Each(t.Context(), func(b *series.Block) error {
		if b.Epoch != epoch {
			epoch, booted, newest = b.Epoch, newest, 0
			for _, f := range p.Faults {
				booted += int64(float64(f.Duration) * 1e9)
			}
		}
		if b.Kind == series.Arc {
			newest = booted + b.At(b.Len()-1)
		}
		for k := range b.Count {
			all = append(all, counted{b.Epoch, booted + b.At(k), newest, b.Count[k], k == 0, b.AtMark && k == b.Len()-1})
		}
		return nil
	})
	require.NoError(t, err)
	return all, truth
}

// changes returns the counts that differ from the one before, which are edges.
func changes(all []counted) (edges []counted, before []int64) {
	for k := 1; k < len(all); k++ {
		if all[k].epoch == all[k-1].epoch && all[k].count != all[k-1].count {
			edges, before = append(edges, all[k]), append(before, all[k-1].count)
		}
	}
	return edges, before
}

// Where a person jogs the torch, it ends at the start angle and has turned there with
// its counter, without arc and without gas.
func TestTorch_joggedBefore(t *testing.T) {
	for _, jog := range []float64{1.3, -1.3} {
		for _, way := range []float64{1, -1} {
			p := quick()
			p.JogBefore = jog
			p.RotationSpeed *= quantity.TurnsPerSecond(way)
			rec := record(t, p)
			truth := rec.truth
			strike := truth.Passes[0].Start
			assert.InDelta(t, -jog, truth.Turned(0), 1e-9)
			assert.InDelta(t, 0, truth.Turned(strike.Since), 1e-9)
			assert.InDelta(t, wrap(50-360*jog), float64(truth.Angle(0)), 1e-6)
			assert.InDelta(t, 50, float64(truth.Passes[0].StartAngle), 1e-6)
			assert.InDelta(t, 360*jog, countAt(rec, strike.Tick), 1)
			for _, s := range rec.slow[gasFlowChannel] {
				assert.False(t, s.tick < int64(math.Abs(jog)*12/16*1e9) && s.v > 0.1, "gas at %d", s.tick)
			}
		}
	}
}

// In a pause it is turned away and comes back, and a box that starts again meanwhile
// begins to count where it finds it.
func TestTorch_joggedBetween(t *testing.T) {
	p := quick()
	p.JogBetween = 0.9
	p.Faults = []Fault{{Kind: Reboot, Pass: 1, After: true, Duration: 0.3}}
	all, truth := count(t, p)
	require.Len(t, truth.Passes, 2)
	down := truth.Faults[0]
	assert.Less(t, truth.Passes[0].End.Since, down.Start.Since)
	assert.Equal(t, 1, down.Pass)
	assert.Equal(t, 1, truth.Passes[1].Start.Epoch)
	assert.Equal(t, [2]int64{0, down.End.Since}, [2]int64{truth.Booted(0), truth.Booted(1)})
	assert.InDelta(t, 0.3, float64(down.Duration), 2e-3)
	assert.InDelta(t, 1+0.3*4/3, truth.Turned(down.End.Since), 0.01, "0.3 s at four thirds of a turn a second")
	assert.InDelta(t, 1, truth.Turned(truth.Passes[1].Start.Since), 1e-9)
	least, most := 0.0, 0.0
	for _, c := range all {
		if c.epoch == 1 {
			least, most = min(least, float64(c.count)), max(most, float64(c.count))
		}
	}
	assert.InDelta(t, -0.3*480, least, 3, "from where it stood at boot, back to where the ring begins")
	assert.InDelta(t, 360-0.3*480, most, 3, "and on to the end of the ring")
}

// Each new count stands where its edge is: whole counts from the mark, whatever was
// done with the torch, and the one over the mark alone is flagged.
func TestCounts_standAtTheirEdges(t *testing.T) {
	for _, c := range []int{1, 8, 36, 360, 4096} {
		for name, change := range map[string]func(*Plan){
			"plain":          func(*Plan) {},
			"anti-clockwise": func(p *Plan) { p.RotationSpeed = -p.RotationSpeed },
			"jogged":         func(p *Plan) { p.JogBefore, p.JogBetween = -1.3, 0.7 },
			"gathered":       func(p *Plan) { p.GatherCounts = 5 },
			"wobbling":       func(p *Plan) { p.Wobble, p.JogBefore = 0.08, 0.4 },
		} {
			t.Run(fmt.Sprint(c, " ", name), func(t *testing.T) {
				p := quick()
				p.CountsPerTurn, p.IndexFlag = c, true
				change(&p)
				all, truth := count(t, p)
				edges, before := changes(all)
				require.NotEmpty(t, edges)
				for k, e := range edges {
					step := 360 / float64(c)
					angle := 360*truth.Turned(e.since) + 50
					require.InDelta(t, 0, math.Remainder(angle, step), 0.1, "count %d at %d", e.count, e.since)
					require.Equal(t, math.Abs(math.Remainder(angle, 360)) < step/2, e.mark, "count %d at %.2f degrees", e.count, angle)
					require.EqualValues(t, 1, math.Abs(float64(e.count-before[k])), "none is left out")
				}
			})
		}
	}
}

// Without the flag nothing is told of the mark.
func TestCounts_withoutAnIndex(t *testing.T) {
	p := quick()
	p.CountsPerTurn = 8
	all, _ := count(t, p)
	require.NotEmpty(t, all)
	assert.False(t, slices.ContainsFunc(all, func(c counted) bool { return c.mark }))
	assert.Equal(t, 8.0, p.Source().CountsPerTurn)
	assert.Equal(t, 360.0, quick().Source().CountsPerTurn)
}

// Counts that are gathered come late, each with the tick that it had.
func TestCounts_gathered(t *testing.T) {
	p := quick()
	p.OnlyChanges = true
	soon, _ := count(t, p)
	p.GatherCounts = 2.5
	late, _ := count(t, p)
	require.NotEmpty(t, soon)
	most := int64(0)
	for k := range late {
		if late[k].first {
			most = max(most, late[k].sent-late[k].since)
		}
		late[k].sent, late[k].first = soon[k].sent, soon[k].first
	}
	assert.Equal(t, soon[:len(late)], late)
	assert.Greater(t, len(late), 360)
	assert.InDelta(t, 2.5e9, most, 0.02e9)
}

// A box that tells changes alone says nothing while the torch stands.
func TestCounts_onlyChanges(t *testing.T) {
	p := quick()
	p.Lead = 12
	said, _ := count(t, p)
	assert.Less(t, said[0].since, int64(1e7), "with the first HELLO")
	p.OnlyChanges = true
	all, truth := count(t, p)
	assert.Greater(t, all[0].since, truth.Passes[0].Start.Since)
	assert.EqualValues(t, 1, all[0].count)
	for k := range all[1:] {
		require.NotEqual(t, all[k].count, all[k+1].count)
	}
}

// Counts may begin long after the strike; the counter has run on all the same.
func TestCounts_late(t *testing.T) {
	p := quick()
	p.CountsLate = 1.5
	all, truth := count(t, p)
	strike := truth.Passes[0].Start.Since
	assert.InDelta(t, strike+1.5e9, all[0].sent, 0.2e9)
	assert.InDelta(t, 180, all[0].count, 10)
	assert.GreaterOrEqual(t, all[0].since, strike+1.4e9)
}

// The rotation swings by 8 % about the mark: fastest there, slowest across from it.
func TestTorch_wobbles(t *testing.T) {
	p := quick()
	p.StartAngle, p.Wobble = 0, 0.08
	_, truth := count(t, p)
	speed := func(angle float64) float64 {
		at := truth.Passes[0].Start.Since
		for 360*truth.Turned(at) < angle {
			at += 1e6
		}
		return (truth.Turned(at+1e8) - truth.Turned(at-1e8)) / 0.2 * 60
	}
	assert.InDelta(t, 20, speed(90), 0.2)
	assert.InDelta(t, 18.4, speed(180), 0.1)
	assert.InDelta(t, 21.5, speed(340), 0.1)
	assert.InDelta(t, 1, truth.Passes[0].Turns, 1e-9)
}

// The angles of the truth are those of the passes.
func TestTruth_angles(t *testing.T) {
	p := strokes(SegmentReversing)
	p.SampleRate = 1000
	rec := record(t, p)
	for k, want := range [][2]float64{{116, 200}, {200, 116}, {240, 80}, {80, 240}} {
		pass := rec.truth.Passes[k]
		assert.InDelta(t, want[0], float64(pass.StartAngle), 1e-6)
		assert.InDelta(t, want[1], float64(pass.EndAngle), 1e-6)
		assert.InDelta(t, want[0], float64(rec.truth.Angle(pass.Start.Since)), 1e-6)
		assert.InDelta(t, want[1], float64(rec.truth.Angle(pass.End.Since)), 1e-6)
	}
	assert.Equal(t, rec.truth.Angle(rec.truth.End.Since), rec.truth.Angle(math.MaxInt64))
	assert.Equal(t, rec.truth.Angle(0), rec.truth.Angle(-1))
}
