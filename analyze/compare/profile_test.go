package compare

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bead"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// What a piece sums up goes into its bin in SI, from ns.
func TestKeeper_bin(t *testing.T) {
	k := NewKeeper(helix())
	k.Begin(&pass.Pass{Number: 3, Layer: 2, StartPlace: &bore.Place{}}, 7)
	place := bore.Place{Angle: 3, Depth: 0.002}
	piece := bead.Piece{From: 7.001, To: 7.003, Arc: 2e9, Unseen: 0.5e9, Meant: 1e9, V: 17e9, I: 140e9, Energy: 4760e9, Wire: 0.25, WireRead: true, Place: &place}
	k.Take(&piece)
	k.Take(&piece)
	require.Equal(t, Bin{
		Arc: 4, Unseen: 1, Meant: 2, V: 34, I: 280, Energy: 9520, Wire: 0.5, WireRead: true, Place: place, Placed: true,
	}, k.present.Bins[0])
	p := k.present
	k.End(nil)
	require.Equal(t, []*Profile{p}, k.Profiles())
	require.Equal(t, Profile{Pass: 3, Layer: 2, Way: Turns, Width: 1.0 / 72, Bins: p.Bins}, *p)
	k.Take(&piece) // between passes
	require.Len(t, k.Profiles(), 1)
}

// The means of a bin, each over what it stands for.
func TestBin_values(t *testing.T) {
	b := Bin{Arc: 4, Unseen: 1, Meant: 2, V: 34, I: 280, Energy: 9520, Wire: 0.5, WireRead: true}
	v := b.values(2)
	require.Equal(t, quantity.Volts(17), *v.Voltage)
	require.Equal(t, quantity.Amperes(140), *v.Current)
	require.Equal(t, quantity.Watts(2380), *v.Power)
	require.Equal(t, quantity.MetresPerSecond(0.125), *v.Wire)
	require.Equal(t, quantity.Seconds(4), v.Arc)
	require.Equal(t, quantity.Seconds(1), v.Unseen)
	v = b.values(4)
	require.Nil(t, v.Voltage)
	require.NotNil(t, v.Power)
	require.Nil(t, b.values(4.1).Power)
	v = new(Bin).values(0)
	require.Nil(t, v.Voltage, "of no time there is no mean")
	require.Nil(t, v.Power)
	b.WireRead = false
	require.Nil(t, b.values(0).Wire)
}

// A piece lies in the bin of its middle, by how far the torch has come from where the pass
// began, either way round.
func TestKeeper_number(t *testing.T) {
	for _, direction := range []float64{1, -1} {
		k := NewKeeper(helix())
		k.Begin(&pass.Pass{StartPlace: &bore.Place{Angle: 90}}, 5)
		require.InDelta(t, 0.25, k.origin, 1e-12)
		for _, turned := range []float64{0, 1.0 / 72, 2.0 / 72} {
			k.Take(&bead.Piece{From: 5 + direction*turned, To: 5 + direction*(turned+1.8/72), Arc: 1})
		}
		require.Equal(t, 18, k.present.First)
		require.Len(t, k.present.Bins, 3)
	}
	// 0.3 s and 0.4 s of arc: their middles are at 0.15 s and at 0.5 s.
	k := NewKeeper(helix())
	k.Begin(&pass.Pass{}, 5)
	require.Equal(t, ArcTime, k.present.Way)
	require.Equal(t, 0.5, k.present.Width)
	k.Take(&bead.Piece{Arc: 0.3e9})
	k.Take(&bead.Piece{Arc: 0.4e9})
	require.Len(t, k.present.Bins, 2)
	require.InDelta(t, 0.4, k.present.Bins[1].Arc, 1e-12)
	k.Take(&bead.Piece{Arc: 0.2e9}) // 0.7 s to 0.9 s
	require.Len(t, k.present.Bins, 2)
	k.Begin(&pass.Pass{}, 5)
	k.Take(&bead.Piece{Arc: 0.3e9})
	require.Len(t, k.present.Bins, 1, "the next pass begins anew")
}

// Only a torch that turns anti-clockwise does so: one of which nobody says it does not.
func TestKeeper_backwards(t *testing.T) {
	for speed, want := range map[quantity.TurnsPerSecond]bool{-0.02: true, 0: false, 0.02: false} {
		k := NewKeeper(&procedure.Job{Rotation: procedure.Rotation{Speed: speed}})
		k.Begin(&pass.Pass{StartPlace: &bore.Place{}}, 0)
		require.Equal(t, want, k.present.Backwards, speed)
	}
}

// Nothing is put down for a piece in which there was nothing, but for one without data.
func TestKeeper_nothing(t *testing.T) {
	k := NewKeeper(helix())
	k.Begin(&pass.Pass{StartPlace: &bore.Place{}}, 0)
	k.Take(&bead.Piece{From: 0.1, To: 0.1})
	require.Empty(t, k.present.Bins)
	k.Take(&bead.Piece{From: 0.1, To: 0.1, Unseen: 1e9})
	require.Equal(t, 1.0, k.present.Bins[0].Unseen)
}

// The turns of the layer at a place: its fraction is the angle, its whole turns are told
// by the depth of a helix alone: it is the first place at that angle from its depth on, but
// for what is lost by rounding.
func TestKeeper_along(t *testing.T) {
	for name, c := range map[string]struct {
		pattern bore.Pattern
		pitch   quantity.Metres
		speed   quantity.TurnsPerSecond
		at      bore.Place
		want    float64
	}{
		"on the helix":             {bore.Helix, 0.003, 1, bore.Place{Angle: 90, Depth: 0.00675}, 2.25},
		"before it":                {bore.Helix, 0.003, 1, bore.Place{Angle: 90, Depth: 0.0066}, 2.25},
		"beyond it":                {bore.Helix, 0.003, 1, bore.Place{Angle: 90, Depth: 0.0069}, 3.25},
		"beyond it by rounding":    {bore.Helix, 0.003, 1, bore.Place{Angle: 90, Depth: 0.00675 + 1e-14}, 2.25},
		"anti-clockwise":           {bore.Helix, 0.003, -1, bore.Place{Angle: 90, Depth: 0.00825}, 2.75},
		"a ring":                   {bore.Rings, 0.003, 1, bore.Place{Angle: 90, Depth: 0.00675}, 0.25},
		"a ring, anti-clockwise":   {bore.Rings, 0.003, -1, bore.Place{Angle: 90}, 0.75},
		"no pitch":                 {bore.Helix, 0, 1, bore.Place{Angle: 90, Depth: 0.00675}, 0.25},
		"at rest":                  {bore.Rings, 0.003, 0, bore.Place{Angle: 90}, 0.25},
		"at the mark, a turn deep": {bore.Helix, 0.003, 1, bore.Place{Angle: 0, Depth: 0.003}, 1},
	} {
		k := NewKeeper(&procedure.Job{Deposit: bore.Deposit{Pattern: c.pattern, Pitch: c.pitch}, Rotation: procedure.Rotation{Speed: c.speed}})
		assert.InDelta(t, c.want, k.along(&c.at), 1e-9, name)
	}
}

// A profile of bins 3 to 7 by twos: 3 alone, 4 with 5, 6 with 7, which are bins 1 to 3 of
// twice the width.
func TestProfile_coarser(t *testing.T) {
	p := profileOf(1, 3, 1, 2, 4, 8, 16)
	c := p.coarser()
	require.Equal(t, 2*p.Width, c.Width)
	require.Equal(t, 1, c.First)
	require.Len(t, c.Bins, 3)
	for k, v := range []float64{1, 6, 24} {
		require.Equal(t, v, c.Bins[k].V, k)
	}
	require.Equal(t, p.Bins[1].Place, c.Bins[1].Place, "of the first that burned in it")
	p = profileOf(1, -3, 1, 2, 4, 8) // before the start of the layer: -3 alone, -2 with -1, 0
	c = p.coarser()
	require.Equal(t, -2, c.First)
	require.Equal(t, []float64{1, 6, 8}, []float64{c.Bins[0].V, c.Bins[1].V, c.Bins[2].V})
	p = profileOf(1, 0, 1, 2)
	p.Bins[0].Placed = false
	require.Equal(t, p.Bins[1].Place, p.coarser().Bins[0].Place)
	require.Len(t, p.Bins, 2, "what was handed out is never changed")
}

// The room is used to the last bin, and joining goes on until bins are most of a turn;
// then there is no profile any more.
func TestKeeper_room(t *testing.T) {
	lay := func(k *Keeper, bins int) {
		k.Begin(&pass.Pass{StartPlace: &bore.Place{}}, 0)
		for n := range bins {
			at := (float64(n) + 0.5) / 72
			k.Take(&bead.Piece{From: at, To: at, Arc: 1e9})
		}
		k.End(nil)
	}
	k := NewKeeper(helix())
	k.room = 8
	lay(k, 8)
	require.Zero(t, k.joins)
	require.Equal(t, 8, k.bins)
	lay(k, 1)
	require.Equal(t, 1, k.joins, "4 and 1 of twice the width")
	require.Equal(t, 5, k.bins)
	require.Equal(t, 2.0/72, k.Profiles()[1].Width)
	k.Begin(&pass.Pass{}, 0)
	require.Equal(t, 1.0, k.present.Width, "of two of half a second")
	k.joins = 6
	k.Begin(&pass.Pass{StartPlace: &bore.Place{}}, 0)
	require.Equal(t, 64.0/72, k.present.Width)
	k.joins = 7
	k.Begin(&pass.Pass{StartPlace: &bore.Place{}}, 0)
	require.Nil(t, k.present)

	k = NewKeeper(helix())
	k.room, k.joins = 1, 5
	k.Begin(&pass.Pass{StartPlace: &bore.Place{}}, 0)
	k.Take(&bead.Piece{From: 0.1, To: 0.1, Arc: 1})
	k.Take(&bead.Piece{From: 0.8, To: 0.8, Arc: 1})
	require.Equal(t, 6, k.joins)
	require.NotNil(t, k.present)
	k.Take(&bead.Piece{From: 1, To: 1, Arc: 1})
	require.Nil(t, k.present, "seven times is too often")
}

// A count that jumped is not true: no way is longer than the room has bins, and none
// goes back to before the first.
func TestKeeper_jump(t *testing.T) {
	k := NewKeeper(helix())
	k.room = 100
	k.Begin(&pass.Pass{StartPlace: &bore.Place{}}, 0)
	k.present.Bins, k.present.First = make([]Bin, 1), 10
	k.put(9, Bin{Arc: 1})
	k.put(111, Bin{Arc: 1})
	require.Len(t, k.present.Bins, 1)
	k.put(10, Bin{Arc: 1})
	require.Equal(t, 1.0, k.present.Bins[0].Arc)
	k.put(110, Bin{Arc: 1})
	require.Len(t, k.present.Bins, 101)
}

// The wire burning back after the end is no bin: what is less than a tenth of the bin before
// goes there, unless data is missing in it.
func TestProfile_tidy(t *testing.T) {
	for name, c := range map[string]struct {
		arcAndUnseen []float64
		want         []float64
	}{
		"less than a tenth":        {[]float64{1, 0, 10, 0, 0.99, 0}, []float64{1, 10.99}},
		"a tenth":                  {[]float64{1, 0, 10, 0, 1, 0}, []float64{1, 10, 1}},
		"without data":             {[]float64{1, 0, 10, 0, 0.5, 2}, []float64{1, 10, 0.5}},
		"two bins":                 {[]float64{10, 0, 0.5, 0}, []float64{10.5}},
		"nothing before the last":  {[]float64{0.5, 0}, []float64{0.5}},
		"nothing at all":           {nil, nil},
		"more than the one before": {[]float64{0, 0, 0.5, 0}, []float64{0, 0.5}},
	} {
		p := arcs(1, c.arcAndUnseen...)
		p.tidy()
		var got []float64
		for _, b := range p.Bins {
			got = append(got, b.Arc)
		}
		require.Equal(t, c.want, got, name)
	}
}

// The usual arc time is that of the middle bin of those that burned.
func TestProfile_usualArc(t *testing.T) {
	require.Equal(t, 2.0, arcs(1, 0, 0, 0, 0, 0, 0, 3, 0, 1, 0, 2, 0).usualArc())
}
