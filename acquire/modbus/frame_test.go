package modbus

import (
	"encoding/hex"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// TestChecksum holds the checksum against its published check value, and a request
// against one that is worked in many a manual.
func TestChecksum(t *testing.T) {
	assert.Equal(t, uint16(0x4B37), checksum([]byte("123456789")))
	frame := Request{Unit: 0x11, Function: series.ReadHolding, Address: 0x6B, Count: 3}.Append(nil)
	assert.Equal(t, "1103006b00037687", hex.EncodeToString(frame))
	r, ok := ParseRequest(frame)
	assert.True(t, ok)
	assert.Equal(t, Request{0x11, series.ReadHolding, 0x6B, 3}, r)
	frame[3]++
	_, ok = ParseRequest(frame)
	assert.False(t, ok)
}

// TestFind looks for an answer in what a line may bring along with it.
func TestFind(t *testing.T) {
	r := Request{Unit: 5, Function: series.ReadInput, Address: 2, Count: 2}
	said := r.AppendAnswer(nil, []uint16{0x0102, 0x0304})
	for name, c := range map[string]struct {
		came []byte
		end  int // 0 is not found
	}{
		"alone":           {said, len(said)},
		"behind its echo": {append(r.Append(nil), said...), requestSize + len(said)},
		"behind noise":    {append([]byte{5, 4, 4, 0}, said...), 4 + len(said)},
		"before noise":    {append(append([]byte{}, said...), 0xff), len(said)},
		"cut":             {said[:len(said)-1], 0},
		"another unit":    {Request{6, series.ReadInput, 2, 2}.AppendAnswer(nil, []uint16{1, 2}), 0},
		"another length":  {Request{5, series.ReadInput, 2, 3}.AppendAnswer(nil, []uint16{1, 2, 3}), 0},
		"another function": {
			Request{5, series.ReadHolding, 2, 2}.AppendAnswer(nil, []uint16{1, 2}), 0,
		},
		"an exception of another function": {Request{5, series.ReadHolding, 2, 2}.AppendException(nil, 2), 0},
	} {
		a, end, ok := r.find(c.came)
		assert.Equal(t, c.end > 0, ok, name)
		assert.Equal(t, c.end, end, name)
		if ok {
			assert.Equal(t, []byte{1, 2, 3, 4}, a.registers, name)
		}
	}
	a, end, ok := r.find(r.AppendException(nil, IllegalAddress))
	require.True(t, ok)
	assert.Equal(t, exceptionSize, end)
	assert.Equal(t, answer{exception: IllegalAddress}, a)
}

// FuzzAnswer: whatever comes, what is taken for an answer is one, and stands where it is
// said to end.
func FuzzAnswer(f *testing.F) {
	r := Request{Unit: 1, Function: series.ReadInput, Count: BlockRegisters}
	f.Add(r.AppendAnswer(nil, Block{Boot: 1, Seq: 70000, TickUS: 1e9, Energy: 5}.Registers()), uint8(1), uint16(BlockRegisters))
	f.Add(r.AppendException(r.Append(nil), IllegalAddress), uint8(1), uint16(BlockRegisters))
	f.Fuzz(func(t *testing.T, came []byte, unit uint8, count uint16) {
		r := Request{Unit: unit, Function: series.ReadInput, Count: count % (MostRegisters + 1)}
		a, end, ok := r.find(came)
		if !ok {
			return
		}
		if a.registers == nil {
			require.NotZero(t, a.exception)
			require.Equal(t, r.AppendException(nil, a.exception), came[end-exceptionSize:end])
			return
		}
		words := make([]uint16, r.Count)
		for k := range words {
			words[k] = uint16(a.registers[2*k])<<8 | uint16(a.registers[2*k+1])
		}
		require.Equal(t, r.AppendAnswer(nil, words), came[end-r.answerSize():end])
		if b, wrong := readBlock(a.registers); wrong == 0 {
			require.Equal(t, same, b.after(&b))
			require.Equal(t, words[:32], b.Registers()[:32], "what was read is written as it was, but for no number")
		}
	})
}

// TestArcOn: the ms that are counted become time in arc of windows of any length, all or
// nothing where that may be, and never far from what was counted.
func TestArcOn(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 9))
	for range 200 {
		var on arcOn
		truth, said, whole := int64(rng.IntN(1000)), int64(0), 0
		start := truth / usPerMs
		for range 500 {
			window := 2000 + rng.Int64N(30_000)
			burned := window
			switch rng.IntN(10) {
			case 0:
				burned = rng.Int64N(window + 1)
			case 1, 2, 3:
				burned = 0
			}
			counted := (truth+burned)/usPerMs - truth/usPerMs
			truth += burned
			got := on.in(window, counted*usPerMs)
			said += got
			require.True(t, got >= 0 && got <= window)
			if got == burned {
				whole++
			}
			require.InDelta(t, (truth/usPerMs-start)*usPerMs, said, 2*usPerMs)
		}
		require.Greater(t, whole, 400, "windows all in arc, or with none, are said to be")
	}
}

// TestBlock_After: what cannot come after a state, one thing at a time.
func TestBlock_After(t *testing.T) {
	a := Block{Boot: 3, Seq: 9, TickUS: 1e6, Samples: 5000, Energy: 1e6, Voltage: 1e7, Current: 1e8, ArcOn: 400, WireCount: 50}
	b := Block{Boot: 3, Seq: 10, TickUS: 1e6 + 13_000, Samples: 5065, Energy: 1e6 + 30_000, Voltage: 1e7 + 250_000, Current: 1e8 + 2_000_000, ArcOn: 413, WireCount: 61}
	require.Equal(t, later, b.after(&a))
	require.Equal(t, strange, a.after(&b))
	require.Equal(t, same, b.after(&b))
	for name, change := range map[string]func(*Block){
		"another boot":             func(x *Block) { x.Boot++ },
		"time without a sequence":  func(x *Block) { x.Seq = a.Seq },
		"a sequence without time":  func(x *Block) { x.TickUS = a.TickUS },
		"a clock that went back":   func(x *Block) { x.TickUS = a.TickUS - 1 },
		"energy that falls by 7 J": func(x *Block) { x.Energy = a.Energy - 7_001 },
		"70 kJ in 13 ms":           func(x *Block) { x.Energy = a.Energy + 70_001_000 },
		"volts that fall":          func(x *Block) { x.Voltage = a.Voltage - 65_001 },
		"more than 1 kV":           func(x *Block) { x.Voltage = a.Voltage + 13_000_001 },
		"amperes that fall":        func(x *Block) { x.Current = a.Current - 260_001 },
		"more than 20 kA":          func(x *Block) { x.Current = a.Current + 260_000_001 },
		"more samples than us":     func(x *Block) { x.Samples = a.Samples + 13_001 },
		"more arc than time":       func(x *Block) { x.ArcOn = a.ArcOn + 15 },
		"no such wire":             func(x *Block) { x.WireCount = a.WireCount + 1_000_001 },
	} {
		x := b
		change(&x)
		require.Equal(t, strange, x.after(&a), name)
	}
	noise := b
	noise.Energy, noise.Voltage, noise.Current = a.Energy-6_000, a.Voltage-60_000, a.Current-250_000
	require.Equal(t, later, noise.after(&a), "what is zero is measured around zero")
}
