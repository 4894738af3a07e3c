package modbus_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/modbus"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
)

// TestFreeMap_Types reads a value of each type, in both orders of its words.
func TestFreeMap_Types(t *testing.T) {
	memory := sensorbox.Memory{}
	memory.Put(4, 0, 0xFFFE, 0x0001, 0xE240, 0xE240, 0x0001, 0x42C8, 0x8000, 0x8000, 0x42C8)
	slave := &sensorbox.Slave{Unit: 1, Image: memory.Image}
	at := func(address uint16, kind series.RegisterType, lowFirst bool) series.Register {
		return series.Register{Channel: "level", Address: address, Function: 4, Type: kind, LowFirst: lowFirst, Unit: "mm", Scale: 1}
	}
	for want, r := range map[float64]series.Register{
		65534: at(0, series.U16, false), -2: at(0, series.I16, false),
		123456: at(1, series.U32, false), 123456.5: {Channel: "level", Address: 3, Function: 4, Type: series.I32, LowFirst: true, Unit: "mm", Scale: 1, Offset: 0.5},
		100.25: at(5, series.F32, false), 200.5: {Channel: "level", Address: 7, Function: 4, Type: series.F32, LowFirst: true, Unit: "mm", Scale: 2},
		-131071: at(0, series.I32, false), 4294836225: at(0, series.U32, false),
	} {
		e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 1, Registers: []series.Register{r}}}, 100*time.Millisecond)
		require.NoError(t, err)
		require.NotEmpty(t, e.slow[0], "%v", r)
		assert.Equal(t, want, e.slow[0][0], "%v", r)
		assert.Equal(t, series.Channel{Name: "level", Unit: "mm", Scale: 1, Basis: series.Average}, e.sources[0].Channels[0])
	}
}

// TestFreeMap_Arc: voltage and current that stand beside one another are read at once;
// else the time between them is said.
func TestFreeMap_Arc(t *testing.T) {
	memory := sensorbox.Memory{}
	memory.Put(3, 10, 2475, 0, 0, 2104)
	memory.Put(3, 300, 2104)
	slave := &sensorbox.Slave{Unit: 7, Image: memory.Image}
	voltage := series.Register{Channel: "voltage", Address: 10, Function: 3, Type: series.U16, Unit: "V", Scale: 0.01}
	current := series.Register{Channel: "current", Address: 13, Function: 3, Type: series.I16, Unit: "A", Scale: 0.1, Offset: -0.4}
	e, err := listen(t, slave, modbus.Config{Port: "/dev/x", Slave: series.Slave{Unit: 7, Registers: []series.Register{current, voltage}}}, time.Second)
	require.NoError(t, err)
	require.NotEmpty(t, e.arcs)
	assert.Equal(t, []int32{2475}, e.arcs[0].V)
	assert.Equal(t, []int32{2104}, e.arcs[0].I)
	assert.Empty(t, e.slow, "nothing else is read")
	s := e.sources[0]
	assert.Equal(t, "/dev/x unit 7", s.Port)
	assert.Empty(t, s.Serial)
	assert.Equal(t, series.Channel{Name: "voltage", Unit: "V", Scale: 0.01, Bits: 16, Basis: series.Average}, s.Channels[0])
	assert.Equal(t, series.Channel{Name: "current", Unit: "A", Scale: 0.1, Offset: -0.4, Bits: 16, Basis: series.Average}, s.Channels[1])
	assert.False(t, s.Skew.Known, "by one request")
	for k, r := range e.readings {
		assert.False(t, r.HasSeq)
		if k > 0 {
			assert.Greater(t, r.Tick, e.readings[k-1].Tick)
		}
	}

	current.Address = 300
	slave.Trouble = func(int) sensorbox.SlaveTrouble { return sensorbox.SlaveTrouble{Late: 4 * time.Millisecond} }
	e, err = listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 7, Registers: []series.Register{current, voltage}}}, time.Second)
	require.NoError(t, err)
	require.NotEmpty(t, e.arcs)
	assert.InDelta(t, 5750, e.sources[0].Skew.Value, 1, "us: an answer of 4 ms and the silence after it")
	assert.Equal(t, 4*time.Millisecond, e.trips[0]-5750*time.Microsecond)
	assert.Zero(t, e.readings[0].Tick, "the middle of the first exchange")
}

// TestFreeMap_RegistersBetween: registers that nobody wants are read along to save
// requests, and left out where the slave has none there.
func TestFreeMap_RegistersBetween(t *testing.T) {
	registers := []series.Register{
		{Channel: "voltage", Address: 0, Function: 3, Type: series.F32, Unit: "V", Scale: 1},
		{Channel: "current", Address: 6, Function: 3, Type: series.F32, Unit: "A", Scale: 1},
	}
	for _, holes := range []bool{false, true} {
		memory := sensorbox.Memory{}
		memory.Put(3, 0, 0x41C8, 0) // 25
		memory.Put(3, 6, 0x4348, 0) // 200
		if !holes {
			memory.Put(3, 2, 0, 0, 0, 0)
		}
		asked := map[modbus.Request]int{}
		slave := &sensorbox.Slave{Unit: 1, Image: func(r modbus.Request) ([]uint16, modbus.Exception) {
			asked[r]++
			return memory.Image(r)
		}}
		e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 1, Registers: registers}}, time.Second)
		require.NoError(t, err)
		require.NotEmpty(t, e.arcs)
		assert.Empty(t, e.damages)
		assert.Equal(t, []int32{25_000_000, 20_000_000}, []int32{e.arcs[0].V[0], e.arcs[0].I[0]}, "uV, and tens of uA")
		assert.Equal(t, holes, e.sources[0].Skew.Known)
		assert.Len(t, asked, map[bool]int{false: 1, true: 3}[holes])
	}
}

// TestFreeMap_NoNumber: what is no number, or more than a code can hold, is a damage.
func TestFreeMap_NoNumber(t *testing.T) {
	for name, c := range map[string]struct {
		kind  series.RegisterType
		scale float64
		words [2]uint16
	}{
		"no number":         {series.F32, 1, [2]uint16{0x7FC0, 0}},
		"infinite":          {series.F32, 1, [2]uint16{0x7F80, 0}},
		"more than a code":  {series.U32, 1, [2]uint16{0x8000, 0}},
		"more than a volt ": {series.F32, 1, [2]uint16{0x4F00, 0}},
	} {
		memory := sensorbox.Memory{}
		memory.Put(3, 0, c.words[0], c.words[1], 0, 0)
		slave := &sensorbox.Slave{Unit: 1, Image: memory.Image}
		e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 1, Registers: []series.Register{
			{Channel: "voltage", Address: 0, Function: 3, Type: c.kind, Unit: "V", Scale: c.scale},
			{Channel: "current", Address: 2, Function: 3, Type: c.kind, Unit: "A", Scale: c.scale},
		}}}, 100*time.Millisecond)
		require.NoError(t, err)
		assert.Empty(t, e.arcs, name)
		require.NotEmpty(t, e.damages, name)
		assert.Equal(t, modbus.BadValue, e.damages[0].Kind, name)
	}
	first, second := sensorbox.Words(math.Pi, true)
	assert.Equal(t, [2]uint16{0x0FDB, 0x4049}, [2]uint16{first, second})
}
