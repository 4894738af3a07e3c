package compare

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bead"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// invented is a pass of some turns of a helix with a change in its voltage.
type invented struct {
	number int
	turns  float64
	start  bore.Place
	volts  func(turns float64) float64 // added
	out    func(turns float64) bool
	seed   uint64
}

const pieces = 288 // of a turn: a tenth of a second each

func helix() *procedure.Job {
	return &procedure.Job{
		Deposit:  bore.Deposit{Pattern: bore.Helix, Pitch: 0.003},
		Rotation: procedure.Rotation{Speed: 1.25 / 60},
	}
}

// lay hands an invented pass to a keeper.
func (x invented) lay(k *Keeper) pass.Pass {
	p := pass.Pass{Number: x.number, StartPlace: &x.start, Verdict: heat.Within}
	dice := rand.New(rand.NewPCG(x.seed, 1))
	k.Begin(&p, 7)
	for n := range int(x.turns * pieces) {
		at := (float64(n) + 0.5) / pieces
		if x.out != nil && x.out(at) {
			continue
		}
		v := 17.5 + 0.1*dice.NormFloat64()
		if x.volts != nil {
			v += x.volts(at)
		}
		place := bore.Place{Angle: bore.NormalAngle(x.start.Angle + quantity.Degrees(360*at)), Depth: x.start.Depth + quantity.Metres(at)*0.003}
		const ns = 1e9 * 48.0 / pieces
		k.Take(&bead.Piece{
			From: 7 + at - 0.5/pieces, To: 7 + at + 0.5/pieces, Place: &place, Basis: heat.TravelMeasured,
			Arc: ns, Meant: ns, V: v * ns, I: 140 * ns, Energy: v * 140 * ns, Wire: 0.09 * ns * 1e-9, WireRead: true,
		})
	}
	k.End(&p)
	return p
}

func layAll(all ...invented) (*Keeper, []pass.Pass) {
	k := NewKeeper(helix())
	var passes []pass.Pass
	for n, x := range all {
		x.number, x.seed = n+1, uint64(n)
		if x.turns == 0 {
			x.turns = 4
		}
		passes = append(passes, x.lay(k))
	}
	return k, passes
}

var usual = Options{Deviations: DefaultDeviations, Share: DefaultShare, Dwell: 1}

func high(from, to float64) func(float64) float64 {
	return func(turns float64) float64 {
		if turns >= from && turns < to {
			return 2
		}
		return 0
	}
}

func TestWithMedian_findsWhereAPassDeparts(t *testing.T) {
	k, passes := layAll(invented{}, invented{volts: high(2.5, 2.6)}, invented{}, invented{})
	passes[1].Findings = 1
	c, err := WithMedian(k.Profiles(), passes, 2, usual)
	require.NoError(t, err)
	require.Equal(t, []int{1, 3, 4}, c.Good)
	var voltage []Departure
	for _, p := range c.Departures {
		if p.Quantity == Voltage {
			voltage = append(voltage, p)
		}
		require.Contains(t, []Quantity{Voltage, Power}, p.Quantity, p.Sentence)
	}
	require.Len(t, voltage, 1)
	p := voltage[0]
	require.InDelta(t, 180, float64(p.From.Angle), 5)
	require.InDelta(t, 7.5e-3, float64(p.From.Depth), 0.1e-3)
	require.InDelta(t, 4.8, float64(p.Lasted), 0.7)
	require.InDelta(t, 2, p.Mean, 0.25, "the first and the last bin are only partly high")
	require.Contains(t, p.Sentence, "above the median of 3 good passes")

	c, err = WithMedian(k.Profiles(), passes, 1, usual)
	require.NoError(t, err)
	require.Equal(t, []int{3, 4}, c.Good)
	require.Empty(t, c.Departures)
}

func TestWith_anotherPass(t *testing.T) {
	k, passes := layAll(invented{volts: func(float64) float64 { return 1 }}, invented{}, invented{volts: high(1, 1.01)})
	c, err := With(k.Profiles(), passes, 1, 2, usual)
	require.NoError(t, err)
	require.Len(t, c.Lines, 4*72)
	require.Len(t, c.Departures, 2, "voltage and power, all the way")
	require.InDelta(t, 192, float64(c.Departures[0].Lasted), 0.1)
	c, err = With(k.Profiles(), passes, 3, 2, usual)
	require.NoError(t, err)
	require.Empty(t, c.Departures, "shorter than the dwell")
}

func TestWith_arcOut(t *testing.T) {
	hole := func(turns float64) bool { return turns >= 1.25 && turns < 1.30 }
	k, passes := layAll(invented{out: hole}, invented{})
	c, err := With(k.Profiles(), passes, 1, 2, usual)
	require.NoError(t, err)
	require.Len(t, c.Departures, 1)
	require.Equal(t, Arc, c.Departures[0].Quantity)
	require.InDelta(t, 90, float64(c.Departures[0].From.Angle), 5)
	require.InDelta(t, 2.4, float64(c.Departures[0].Lasted), 0.7)
	c, err = With(k.Profiles(), passes, 2, 1, usual)
	require.NoError(t, err)
	require.Contains(t, c.Departures[0].Sentence, "arc on where pass 1 has it out")
}

// A run that was broken off and gone on with lies over the whole one by its place.
func TestWith_noDataIsNoArcOut(t *testing.T) {
	k, _ := layAll(invented{})
	p := pass.Pass{Number: 2, StartPlace: &bore.Place{}, Verdict: heat.Within}
	k.Begin(&p, 0)
	k.Take(&bead.Piece{From: 0, To: 1.25, Place: &bore.Place{}, Basis: heat.TravelMeasured, Arc: 30e9, Meant: 30e9, V: 17.5 * 30e9, I: 140 * 30e9, Energy: 2450 * 30e9})
	for n := range 288 * 3 {
		at := 1 + float64(n)/288
		k.Take(&bead.Piece{From: at, To: at + 1.0/288, Place: &bore.Place{}, Basis: heat.TravelMeasured, Unseen: 48e9 / 288})
	}
	k.End(&p)
	c, err := With(k.Profiles(), []pass.Pass{{Number: 1}, p}, 2, 1, usual)
	require.NoError(t, err)
	for _, part := range c.Departures {
		require.False(t, part.Quantity == Arc && part.First >= 72, part.Sentence)
	}
}

func TestWith_resumedRunLiesAtItsPlace(t *testing.T) {
	at := bore.Place{Angle: 108, Depth: 0.003 * 2.3}
	k, passes := layAll(invented{}, invented{turns: 1.7, start: at, volts: high(0.2, 0.3)})
	c, err := With(k.Profiles(), passes, 2, 1, usual)
	require.NoError(t, err)
	voltage := c.Departures[0]
	require.Equal(t, Voltage, voltage.Quantity)
	require.Equal(t, 180, voltage.First, "half a turn after two")
	require.InDelta(t, 180, float64(voltage.From.Angle), 5)
}

func TestWith_Errors(t *testing.T) {
	k, passes := layAll(invented{}, invented{})
	_, err := With(k.Profiles(), passes, 3, 1, usual)
	require.EqualError(t, err, "there is no pass 3: the record has passes 1 to 2")
	_, err = With(k.Profiles(), passes, 1, 0, usual)
	require.EqualError(t, err, "there is no pass 0: the record has passes 1 to 2")
	_, err = With(nil, nil, 1, 2, usual)
	require.EqualError(t, err, "there is no pass 1: no pass was found in this record")
	_, err = With(k.Profiles()[1:], passes, 2, 1, usual)
	require.ErrorContains(t, err, "too long")
	_, err = WithMedian(k.Profiles(), passes[:1], 1, usual)
	require.ErrorIs(t, err, ErrNoGoodPass)
	k.kept[0].Way = ArcTime
	_, err = With(k.Profiles(), passes, 1, 2, usual)
	require.ErrorIs(t, err, ErrDifferentWays)
}

// Whatever is kept, it is no more than the room, and sums to the same.
func TestKeeper_joinsBinsWhereThereIsNoRoom(t *testing.T) {
	whole, _ := layAll(invented{}, invented{}, invented{})
	k := NewKeeper(helix())
	k.room = 300
	for n := range 3 {
		invented{number: n + 1, turns: 4, seed: uint64(n)}.lay(k)
	}
	require.Len(t, k.Profiles(), 3)
	bins := 0
	for n, p := range k.Profiles() {
		bins += len(p.Bins)
		require.InDelta(t, 4.0/72, p.Width, 1e-12)
		var a, b Bin
		for _, x := range p.Bins {
			a.add(x)
		}
		for _, x := range whole.Profiles()[n].Bins {
			b.add(x)
		}
		require.InEpsilon(t, b.Energy, a.Energy, 1e-9)
		require.InEpsilon(t, b.Arc, a.Arc, 1e-9)
	}
	require.LessOrEqual(t, bins, 300)
	k.room = 2
	invented{number: 4, turns: 4}.lay(k)
	invented{number: 5, turns: 4}.lay(k)
	require.Len(t, k.Profiles(), 3, "no room is left for more")
}

// The factor 1.4826 makes the median of normal values their standard deviation.
func TestDeviation(t *testing.T) {
	dice := rand.New(rand.NewPCG(3, 1))
	var steps []float64
	last := 0.0
	for range 100_000 {
		d := 0.25 * dice.NormFloat64()
		steps, last = append(steps, math.Abs(d-last)), d
	}
	require.InEpsilon(t, 0.25, deviation(steps), 0.02)
}
