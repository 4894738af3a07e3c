package modbus_test

import (
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/modbus"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
)

// damagedAnswers is how many answers are damaged: a share of what make campaigns does.
func damagedAnswers() int {
	if os.Getenv("ARCTALLY_DAMAGED_ANSWERS") != "" {
		return 1_000_000
	}
	return 100_000
}

// vandal damages answers in every way that a line has, and counts those that it did.
type vandal struct {
	rng     *rand.Rand
	gentle  bool // what a checksum of 16 bits finds without fail
	before  []byte
	damaged int
}

func (v *vandal) trouble(int) sensorbox.SlaveTrouble {
	if v.rng.IntN(3) == 0 {
		return sensorbox.SlaveTrouble{} // as it is: polling goes on between
	}
	if v.rng.IntN(400) == 0 {
		v.damaged++
		return sensorbox.SlaveTrouble{Late: time.Duration(200+v.rng.IntN(220)) * time.Millisecond}
	}
	return sensorbox.SlaveTrouble{Spoil: v.spoil}
}

func (v *vandal) spoil(answer []byte) []byte {
	spoilt := slices.Clone(answer)
	ways := 5
	if v.gentle {
		ways = 3
	}
	switch v.rng.IntN(ways) {
	case 0: // up to three bits
		for range 1 + v.rng.IntN(3) {
			bit := v.rng.IntN(8 * len(answer))
			spoilt[bit/8] ^= 1 << (bit % 8)
		}
	case 1: // a burst
		at := v.rng.IntN(len(answer) - 1)
		spoilt[at] ^= byte(v.rng.IntN(256))
		spoilt[at+1] ^= byte(v.rng.IntN(256))
	case 2: // the end, or the beginning, is missing
		cut := 1 + v.rng.IntN(len(answer)-1)
		if spoilt = spoilt[:cut]; v.rng.IntN(2) == 0 {
			spoilt = slices.Clone(answer[cut:])
		}
	case 3: // the answer before it, and then the rest of this one
		if cut := v.rng.IntN(len(answer)); len(v.before) == len(answer) {
			spoilt = append(slices.Clone(v.before[:cut]), answer[cut:]...)
		}
	case 4: // anything
		for range 1 + v.rng.IntN(len(answer)) {
			spoilt[v.rng.IntN(len(answer))] = byte(v.rng.IntN(256))
		}
	}
	v.before = answer
	if !slices.Equal(spoilt, answer) {
		v.damaged++
	}
	return spoilt
}

// TestTalker_Damage: of a hundred thousand damaged answers none is believed: every
// window goes from one true state of the registers to another, and they all join.
func TestTalker_Damage(t *testing.T) {
	v, past := &vandal{rng: rand.New(rand.NewPCG(3, 4))}, 0
	for seed := uint64(1); v.damaged < damagedAnswers(); seed++ {
		var m *meter
		slave := &sensorbox.Slave{Unit: 3, Trouble: v.trouble, Image: func(r modbus.Request) ([]uint16, modbus.Exception) {
			if m == nil {
				m = newMeter(seed)
			}
			return m.image(r)
		}}
		e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 3}}, 20*time.Minute)
		require.NoError(t, err)
		requireWhole(t, e.windows, m.states)
		at := map[int64]modbus.Block{}
		for _, s := range m.states {
			at[int64(s.TickUS)*1000] = s
		}
		for _, w := range e.windows {
			from, begins := at[w.Tick]
			until, ends := at[w.End()]
			require.True(t, begins && ends)
			require.Equal(t, int64(until.Energy-from.Energy)*1000, w.Sum.VI)
			require.Equal(t, int64(until.Voltage-from.Voltage), w.Sum.V)
			require.Equal(t, int64(until.Current-from.Current), w.Sum.I)
		}
		kinds := e.kinds()
		assert.Greater(t, kinds[modbus.Damaged], 1000)
		past += kinds[modbus.Torn] + kinds[modbus.NotTheMap] + kinds[modbus.BadValue] + kinds[modbus.Unproved]
	}
	t.Logf("%d answers were damaged, %d had the right checksum all the same; none was believed", v.damaged, past)
}

// TestTalker_DamageOfRegisters: a map of registers has the checksum alone, which finds up
// to three bits, a burst of up to 16, and what is missing.
func TestTalker_DamageOfRegisters(t *testing.T) {
	v := &vandal{rng: rand.New(rand.NewPCG(5, 6)), gentle: true}
	said := uint16(0)
	slave := &sensorbox.Slave{Unit: 3, Trouble: v.trouble, Image: func(r modbus.Request) ([]uint16, modbus.Exception) {
		if r.Address == 0 {
			said += 7
			return []uint16{said}, 0
		}
		return []uint16{^said}, 0
	}}
	for v.damaged < damagedAnswers()/4 {
		e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 3, Registers: []series.Register{
			{Channel: "pressure", Address: 0, Function: 3, Type: series.U16, Unit: "bar", Scale: 1},
			{Channel: "level", Address: 500, Function: 3, Type: series.U16, Unit: "mm", Scale: 1},
		}}}, 10*time.Minute)
		require.NoError(t, err)
		require.Greater(t, len(e.slow[0]), 100)
		for k := range e.slow[0] {
			require.Equal(t, ^uint16(e.slow[0][k]), uint16(e.slow[1][k]), "reading %d", k)
		}
	}
	t.Logf("%d answers were damaged, none believed", v.damaged)
}
