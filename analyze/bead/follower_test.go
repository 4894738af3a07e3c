package bead

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
)

// atRing has every turn count stand at its angle, at the depth of a ring.
type atRing struct{ depth quantity.Metres }

func (r atRing) Locate(turns float64) (at bore.Place, known bool) {
	return bore.Place{Angle: bore.NormalAngle(quantity.Degrees(360 * turns)), Depth: r.depth}, true
}

// taken keeps what a follower hands on.
type taken struct {
	begun  []float64
	pieces [][]Piece // of each pass
	ended  int
}

func (t *taken) Begin(_ *pass.Pass, turns float64) {
	t.begun, t.pieces = append(t.begun, turns), append(t.pieces, nil)
}

func (t *taken) Take(p *Piece) {
	last := len(t.pieces) - 1
	own := *p
	if p.Place != nil {
		own.Place = new(*p.Place)
	}
	t.pieces[last] = append(t.pieces[last], own)
}

func (t *taken) End(*pass.Pass) { t.ended++ }

// following returns a follower of a pattern that stands at a number of turns.
func following(pattern bore.Pattern, turns float64) (*Follower, *taken) {
	t := &taken{}
	f := NewFollower(pattern, t)
	f.Follow(atRing{})
	f.Begin(&pass.Pass{Number: 1}, pass.Position{Turns: turns})
	return f, t
}

// burned is a bucket of 100 ms in arc at 20 V and 150 A that ends at a number of turns.
func burned(start int64, turns float64) *pass.Bucket {
	const ns = 100_000_000
	return &pass.Bucket{Bucket: arc.Bucket{Start: start, End: start + ns, Arc: ns, V: 20 * ns, I: 150 * ns, Energy: 3000 * ns}, Turns: turns, TurnsBasis: heat.TravelMeasured}
}

// Three sixty-fourths of a turn are 13.5 pieces of a degree and a quarter, and so 14
// that are equal.
func TestFollower_cutsTheWayIntoEqualPieces(t *testing.T) {
	for name, way := range map[string]float64{"clockwise": 3.0 / 64, "anti-clockwise": -3.0 / 64} {
		t.Run(name, func(t *testing.T) {
			f, got := following(bore.Helix, 2)
			f.WireSpeed(0.1)
			b := burned(5, 2+way)
			b.Missing, b.Partial = 7_000_000, 40_000_000
			f.Burn(b)
			pieces := got.pieces[0]
			require.Len(t, pieces, 14)
			var sum Piece
			for k, p := range pieces {
				assert.InDelta(t, 2+way*float64(k)/14, p.From, 1e-12)
				assert.InDelta(t, 2+way*float64(k+1)/14, p.To, 1e-12)
				assert.InDelta(t, 3.0/64/14, p.Turned(), 1e-12)
				assert.InDelta(t, 0, float64(bore.AngleDifference(quantity.Degrees(360*way*(float64(k)+0.5)/14), p.Place.Angle)), 1e-9, "the middle")
				assert.Equal(t, int64(5), p.Start)
				assert.Equal(t, heat.TravelMeasured, p.Basis)
				assert.True(t, p.WireRead)
				sum.add(&p)
			}
			assert.InDelta(t, 140e6, sum.Arc, 1e-3, "in arc, the windows that are only partly so with it")
			assert.InDelta(t, 100e6, sum.Meant, 1e-3)
			assert.InDelta(t, 2000e6, sum.V, 1e-2)
			assert.InDelta(t, 15000e6, sum.I, 1e-1)
			assert.InDelta(t, 300e9, sum.Energy, 1)
			assert.InDelta(t, 7e6, sum.Unseen, 1e-3)
			assert.InDelta(t, 0.1*0.140, sum.Wire, 1e-12, "100 mm/s for 140 ms")
			assert.InDelta(t, 10e6, pieces[0].Arc, 1e-6, "each has its share")
			f.End(&pass.Pass{})
			assert.Equal(t, 1, got.ended)
			assert.Len(t, got.pieces[0], 14, "nothing was held back")
		})
	}
}

func TestFollower_boundsThePieces(t *testing.T) {
	f, got := following(bore.Helix, 0)
	f.Burn(burned(0, 0)) // the torch stands
	require.Len(t, got.pieces[0], 1)
	f.Burn(burned(0, 10)) // a count has jumped: ten turns would be 2880 pieces
	require.Len(t, got.pieces[0], 1+720)
	assert.InDelta(t, 10.0/720, got.pieces[0][1].Turned(), 1e-12)
}

func TestFollower_withoutTurnsThereIsNoPlace(t *testing.T) {
	f, got := following(bore.Helix, 3)
	b := burned(0, 3.5)
	b.TurnsBasis = ""
	f.Burn(b)
	require.Len(t, got.pieces[0], 1)
	p := got.pieces[0][0]
	assert.Nil(t, p.Place)
	assert.Zero(t, p.Turned())
	assert.InDelta(t, 100e6, p.Arc, 1e-6)
	assert.False(t, p.WireRead)
	assert.Zero(t, p.Wire)
}

// Between two arc intervals the time that is not known to be without arc is without
// data; the rounding of a difference of times is none.
func TestFollower_timeWithoutDataBetweenArcIntervals(t *testing.T) {
	from := pass.Position{Moment: pass.Moment{Tick: 10}, Turns: 1, Basis: heat.TravelMeasured}
	for ms, want := range map[float64]float64{300: 0, 299: 0, 298: 2e6} {
		f, got := following(bore.Helix, 0)
		f.WireSpeed(0.1)
		to := pass.Position{Moment: pass.Moment{Tick: 10 + 300_000_000}, Turns: 1 + 1.0/512, Basis: heat.TravelMeasured}
		f.Resume(from, to, quantity.Seconds(ms*1e-3))
		if want == 0 {
			assert.Empty(t, got.pieces[0], "%g ms", ms)
			continue
		}
		require.Len(t, got.pieces[0], 1)
		p := got.pieces[0][0]
		assert.InDelta(t, want, p.Unseen, 1)
		assert.Equal(t, 1.0, p.From)
		assert.Equal(t, 1+1.0/512, p.To)
		assert.Equal(t, int64(10), p.Start)
		assert.Zero(t, p.Arc)
		assert.True(t, p.WireRead)
		f.Burn(burned(0, 1+3.0/512)) // goes on from where the torch is now
		require.Len(t, got.pieces[0], 3, "1/256 of a turn is more than 1/288")
		assert.Equal(t, 1+1.0/512, got.pieces[0][1].From)
	}
}

// A ring without an arc-out: it was closed at 1 turn, which is known only after an
// overlap of 1/64. What burned after its end is of the next ring, at its depth.
func TestFollower_overlapIsOfTheNextRing(t *testing.T) {
	f, got := following(bore.Rings, 0)
	const step = 1.0 / 512
	for k := range 512 + 8 {
		f.Burn(burned(int64(k)*100_000_000, float64(k+1)*step))
	}
	require.Len(t, got.pieces[0], 511, "the piece that closes the ring waits for its end")
	f.End(&pass.Pass{End: pass.Moment{Tick: 512 * 100_000_000}})
	require.Len(t, got.pieces[0], 512)
	require.Equal(t, 1, got.ended)
	f.Follow(atRing{depth: 3e-3})
	f.Begin(&pass.Pass{Number: 2}, pass.Position{Turns: 1 + 8*step})
	assert.Equal(t, []float64{0, 1}, got.begun, "where it was closed")
	require.Len(t, got.pieces[1], 8)
	for k, p := range got.pieces[1] {
		assert.InDelta(t, 1+float64(k)*step, p.From, 1e-12)
		assert.InDelta(t, 1+float64(k+1)*step, p.To, 1e-12)
		assert.InDelta(t, 360*(float64(k)+0.5)*step, float64(p.Place.Angle), 1e-9)
		assert.Equal(t, quantity.Metres(3e-3), p.Place.Depth)
	}
	f.Burn(burned(600*100_000_000, 1+9*step))
	assert.Len(t, got.pieces[1], 9)
	f.End(&pass.Pass{})
	f.Begin(&pass.Pass{Number: 3}, pass.Position{Turns: 2})
	assert.Empty(t, got.pieces[2], "nothing is handed on twice")
}

// Declared turns count anew with each pass, and the pieces of the overlap with them.
func TestFollower_overlapOfDeclaredTurns(t *testing.T) {
	f, got := following(bore.Rings, 0)
	f.Burn(burned(0, 0.75))
	f.Burn(burned(100, 1))
	f.Burn(burned(200, 1.002))
	f.End(&pass.Pass{End: pass.Moment{Tick: 200}})
	f.Begin(&pass.Pass{Number: 2}, pass.Position{Turns: 0.002})
	require.Len(t, got.pieces[1], 1)
	p := got.pieces[1][0]
	assert.InDelta(t, 0, p.From, 1e-12)
	assert.InDelta(t, 0.002, p.To, 1e-12)
	assert.InDelta(t, 0.36, float64(p.Place.Angle), 1e-9)
	assert.InDelta(t, 0, got.begun[1], 1e-12)
}

// Only rings close, and only where the turns are known.
func TestFollower_holdsNothingElseBack(t *testing.T) {
	f, got := following(bore.Helix, 0)
	f.Burn(burned(0, 1.5))
	assert.Len(t, got.pieces[0], 432)
	f, got = following(bore.Rings, -2)
	b := burned(0, 0)
	b.TurnsBasis = ""
	f.Burn(b)
	assert.Len(t, got.pieces[0], 1)
}

// A torch that goes anti-clockwise closes its ring at one turn below its start, and a
// millionth of a turn before that is as good.
func TestFollower_closesWithinAHair(t *testing.T) {
	for to, held := range map[float64]int{-1: 1, -1 + 0.9e-6: 1, -1 + 1.1e-6: 0} {
		f, got := following(bore.Rings, 0)
		f.Burn(burned(0, -0.9990))
		f.Burn(burned(100, to))
		all := len(got.pieces[0])
		f.End(&pass.Pass{End: pass.Moment{Tick: math.MaxInt64}})
		assert.Equal(t, held, len(got.pieces[0])-all, "to %v", to)
	}
}

// A torch that hardly moves after the close of its ring does not fill the memory;
// before it is clear of the close each piece keeps its own time.
func TestFollower_standingTorchIsOnePiece(t *testing.T) {
	f, got := following(bore.Rings, 5)
	f.Burn(burned(0, 5.999))
	handed := len(got.pieces[0])
	tick, turns := int64(1000), 6.0
	next := func(way float64) {
		turns += way
		f.Burn(burned(tick, turns))
		tick += 100_000_000
	}
	next(0) // closes the ring
	next(0.0005)
	next(0.0004) // begins at 6.0005: not clear of the close
	next(0.0002)
	require.Len(t, f.heldBack, 4)
	next(0.00001) // begins at 6.0011; the one before it at 6.0009
	require.Len(t, f.heldBack, 5)
	for range 50 {
		next(0.00001)
	}
	require.Len(t, f.heldBack, 5)
	last := f.heldBack[4]
	assert.InDelta(t, 51*100e6, last.Arc, 1e-3)
	assert.InDelta(t, 51*100e6, last.Meant, 1e-3)
	assert.InDelta(t, 51*2000e6, last.V, 1e-1)
	assert.InDelta(t, 51*15000e6, last.I, 1e-1)
	assert.InDelta(t, 51*300e9, last.Energy, 1e2)
	assert.InDelta(t, 6.0011, last.From, 1e-9)
	assert.InDelta(t, 6.00161, last.To, 1e-9)
	f.WireSpeed(0.1)
	next(0.00001)
	require.Len(t, f.heldBack, 6, "wire that was not read is not joined with wire that was")
	next(0.0009) // too long to be joined with the next
	require.Len(t, f.heldBack, 6)
	next(0.00001)
	require.Len(t, f.heldBack, 7)
	assert.Len(t, got.pieces[0], handed)
}

// What the torch did after the end of a pass without arc is of no pass; time without
// data is, for the arc may have burned in it.
func TestFollower_coldWayAfterTheEndIsOfNoPass(t *testing.T) {
	f, got := following(bore.Rings, 0)
	f.Burn(burned(0, 1))
	cold, unseen := burned(200, 1.001), burned(300, 1.002)
	cold.Arc, unseen.Arc, unseen.Missing = 0, 0, 5
	f.Burn(cold)
	f.Burn(unseen)
	f.End(&pass.Pass{End: pass.Moment{Tick: 200}})
	f.Begin(&pass.Pass{Number: 2}, pass.Position{Turns: 1.002})
	require.Len(t, got.pieces[1], 1)
	assert.Equal(t, int64(300), got.pieces[1][0].Start)
	assert.InDelta(t, 1.001, got.begun[1], 1e-12)
}

// Pieces that are held back keep the places at which each of them was laid.
func TestFollower_heldBackPiecesKeepTheirPlaces(t *testing.T) {
	f, got := following(bore.Rings, 0)
	f.Burn(burned(0, 1))
	laid := len(got.pieces[0])
	f.Burn(burned(1, 1+8*grain))
	require.Len(t, got.pieces[0], laid, "they may belong to the next ring")
	f.End(&pass.Pass{End: pass.Moment{Tick: 5}})
	held := got.pieces[0][laid:]
	require.GreaterOrEqual(t, len(held), 8)
	for _, p := range held {
		require.Equal(t, bore.NormalAngle(quantity.Degrees(360*((p.From+p.To)/2))), p.Place.Angle)
	}
}
