package shelf

import (
	"math"
	"reflect"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// odd has holes between its fields, what nobody outside can see, and all that can be kept.
type odd struct {
	A bool
	B float64
	c uint8
	D int32
	E [3]struct{ X, y int16 }
	F map[string][]int
	G *float64
	H []string
	i []struct {
		On bool
		At int64
	}
	J      []float32
	K      **int
	within struct{ deep []byte }
}

func one() odd {
	n := -7
	p := &n
	x := odd{
		A: true, B: math.Float64frombits(0x7ff8_0000_dead_beef), c: 200, D: math.MinInt32, F: map[string][]int{"b": {1}, "a": nil, "": {}},
		G: new(math.Inf(-1)), H: []string{"", "ü\x00"}, i: []struct {
			On bool
			At int64
		}{{true, 5}, {false, -5}}, J: []float32{}, K: &p,
	}
	x.E[2].y = -1
	x.within.deep = []byte{0, 255}
	return x
}

// Every field comes back as it was, NaN to the bit, nil apart from empty.
func TestPack_backAndForth(t *testing.T) {
	for _, want := range []odd{{}, one(), {H: []string{}, J: nil}} {
		got := odd{B: 1, H: []string{"what was there before"}}
		require.NoError(t, Unpack(Pack(&want), &got))
		assert.Equal(t, math.Float64bits(want.B), math.Float64bits(got.B))
		want.B, got.B = 0, 0
		assert.Equal(t, want, got)
	}
}

// Equal values give equal bytes, whatever lies in the holes of their memory and in which
// order a map gives its keys; any difference gives others.
func TestPack_bytesAreTheValue(t *testing.T) {
	x := one()
	for range 20 {
		y := one()
		require.Equal(t, Pack(&x), Pack(&y))
	}
	for name, change := range map[string]func(*odd){
		"A": func(x *odd) { x.A = false }, "B": func(x *odd) { x.B = math.NaN() }, "c": func(x *odd) { x.c++ }, "D": func(x *odd) { x.D++ },
		"E": func(x *odd) { x.E[1].X++ }, "F": func(x *odd) { x.F["a"] = []int{} }, "G": func(x *odd) { x.G = nil }, "H": func(x *odd) { x.H[0] = " " },
		"i": func(x *odd) { x.i[1].At++ }, "J": func(x *odd) { x.J = nil }, "K": func(x *odd) { **x.K = 0 }, "within": func(x *odd) { x.within.deep[0]++ },
	} {
		y := one()
		change(&y)
		assert.NotEqual(t, Pack(&x), Pack(&y), name)
	}
}

// There is room for all of a value before it is packed, and not much more.
func TestPack_roomAtOnce(t *testing.T) {
	x := one()
	x.F = nil
	x.J = make([]float32, 100_000)
	for range 300 {
		x.H = append(x.H, "a text")
	}
	length := shapeOf(reflect.TypeFor[odd]()).length(unsafe.Pointer(&x))
	assert.GreaterOrEqual(t, length, len(Pack(&x)))
	assert.Less(t, length, len(Pack(&x))*11/10)
	assert.InDelta(t, 1, testing.AllocsPerRun(5, func() { appendPacked(nil, &x) }), 0.1)
}

// What is handed on piece by piece is the same, however it falls into pieces, and few bytes are held.
func TestPackTo(t *testing.T) {
	for _, length := range []int{0, 1, heldLength/4 - 40, heldLength / 4, heldLength/4 + 1, 3 * heldLength} {
		x := one()
		x.J = make([]float32, length)
		for range 5_000 {
			x.H = append(x.H, "a text of some length")
		}
		var together []byte
		pieces := 0
		packTo(func(some []byte) { together, pieces = append(together, some...), pieces+1 }, &x)
		assert.Equal(t, Pack(&x), together, length)
		assert.Greater(t, pieces, 1, length)
	}
}

// What cannot be kept is refused by its type, not by the value that is there today.
func TestPack_refusesByType(t *testing.T) {
	type ring struct{ Next []*ring }
	for name, value := range map[string]any{
		"function": &struct{ F func() }{}, "interface": &struct{ E error }{}, "channel": &struct{ C chan int }{}, "itself": &ring{},
		"map by number": &struct{ M map[int]int }{}, "within a slice that is nil": &struct{ S []struct{ F func() } }{},
	} {
		assert.Panics(t, func() { Pack(value) }, name)
	}
}

// FuzzUnpack: whatever the bytes are, they are a value or refused, take no more memory than
// they could fill, and what is a value packs into the same bytes.
func FuzzUnpack(f *testing.F) {
	x := one()
	f.Add(Pack(&x))
	f.Add(Pack(&odd{}))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, packed []byte) {
		var got odd
		if Unpack(packed, &got) != nil {
			require.Equal(t, odd{}, got)
			return
		}
		var again odd
		require.NoError(t, Unpack(Pack(&got), &again))
		require.Equal(t, Pack(&got), Pack(&again))
	})
}
