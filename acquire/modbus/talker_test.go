package modbus_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/modbus"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
)

// TestTalker_MissedPolls: the map is cumulative, so that whatever polls are missed, the
// windows join and hold all that the box counted.
func TestTalker_MissedPolls(t *testing.T) {
	silent := func(yes bool) sensorbox.SlaveTrouble { return sensorbox.SlaveTrouble{Silent: yes} }
	chance := rand.New(rand.NewPCG(1, 2))
	for name, trouble := range map[string]func(int) sensorbox.SlaveTrouble{
		"none":        nil,
		"every third": func(n int) sensorbox.SlaveTrouble { return silent(n%3 == 2) },
		"random":      func(int) sensorbox.SlaveTrouble { return silent(chance.IntN(2) == 0) },
		"two seconds": func(n int) sensorbox.SlaveTrouble { return silent(n > 100 && n < 107) },
		"torn":        func(n int) sensorbox.SlaveTrouble { return sensorbox.SlaveTrouble{Torn: n%2 == 1} },
		"busy": func(n int) sensorbox.SlaveTrouble {
			return sensorbox.SlaveTrouble{Exception: modbus.Exception(6 * (n % 2))}
		},
		"echo": func(int) sensorbox.SlaveTrouble { return sensorbox.SlaveTrouble{Echo: true} },
		"turn-round": func(int) sensorbox.SlaveTrouble {
			return sensorbox.SlaveTrouble{Before: []byte{0}, After: []byte{0xff, 0}}
		},
		"another slave": func(n int) sensorbox.SlaveTrouble {
			other := modbus.Request{Unit: 9, Function: series.ReadInput, Count: modbus.BlockRegisters}
			return sensorbox.SlaveTrouble{Before: other.AppendAnswer(nil, modbus.Block{Boot: 3, Energy: 1 << 40}.Registers())}
		},
	} {
		t.Run(name, func(t *testing.T) {
			m := &meter{}
			slave := &sensorbox.Slave{Unit: 3, Trouble: trouble}
			slave.Image = func(r modbus.Request) ([]uint16, modbus.Exception) {
				if m.rng == nil {
					m = newMeter(5)
				}
				return m.image(r)
			}
			e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 3}}, 20*time.Second)
			require.NoError(t, err)
			requireWhole(t, e.windows, m.states)
			assert.Greater(t, e.windows[len(e.windows)-1].End(), int64(17e9), "nearly to the end")
			assert.Equal(t, series.Instantaneous, e.sources[0].Channels[0].Basis)
			want := map[string]modbus.Kind{"every third": modbus.Silent, "random": modbus.Silent, "two seconds": modbus.Silent, "torn": modbus.Torn, "busy": modbus.Refused}[name]
			if want == 0 {
				assert.Empty(t, e.damages)
				return
			}
			kinds := e.kinds()
			assert.Len(t, kinds, 1)
			assert.GreaterOrEqual(t, kinds[want], 5)
		})
	}
}

// TestTalker_LateAnswers: an answer that comes after the host gave up must not be taken
// for that to the next request.
func TestTalker_LateAnswers(t *testing.T) {
	for _, late := range []time.Duration{250, 299, 305, 330, 355, 362, 370, 400, 420, 520} {
		t.Run(late.String(), func(t *testing.T) {
			memory := sensorbox.Memory{}
			slave := &sensorbox.Slave{Unit: 1, Image: memory.Image}
			for k := range uint16(2) { // two requests with answers of one length
				memory.Put(series.ReadHolding, 100*k, 1000*(k+1))
			}
			slave.Trouble = func(n int) sensorbox.SlaveTrouble {
				if n%5 == 3 {
					return sensorbox.SlaveTrouble{Late: late * time.Millisecond}
				}
				return sensorbox.SlaveTrouble{Late: 30 * time.Millisecond} // as long as it thinks
			}
			e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 1, Registers: []series.Register{
				{Channel: "pressure", Address: 0, Function: 3, Type: series.U16, Unit: "bar", Scale: 1},
				{Channel: "level", Address: 100, Function: 3, Type: series.U16, Unit: "mm", Scale: 1},
			}}}, 30*time.Second)
			require.NoError(t, err)
			require.Greater(t, len(e.slow[0]), 20)
			for k := range e.slow[0] {
				require.Equal(t, []float64{1000, 2000}, []float64{e.slow[0][k], e.slow[1][k]}, "reading %d", k)
			}
		})
	}
}

// TestTalker_Reboot: another boot, and counters that begin anew within one, are told by
// the readings, and nothing is summed up across them. One such state alone is nothing.
func TestTalker_Reboot(t *testing.T) {
	for name, sameBoot := range map[string]bool{"another boot": false, "the same boot": true} {
		t.Run(name, func(t *testing.T) {
			var m *meter
			var before []modbus.Block
			asked := 0
			slave := &sensorbox.Slave{Unit: 3, Image: func(r modbus.Request) ([]uint16, modbus.Exception) {
				if m == nil {
					m = newMeter(9)
				}
				if asked++; asked == 300 {
					before = m.states
					m.states = nil
					m.restart()
					if sameBoot {
						m.boot--
					}
				}
				return m.image(r)
			}}
			e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 3}}, 3*time.Second)
			require.NoError(t, err)
			assert.Empty(t, e.damages)
			cut := 0
			for k := 1; k < len(e.windows); k++ {
				if e.windows[k].Tick < e.windows[k-1].Tick {
					require.Zero(t, cut)
					cut = k
				}
			}
			require.Greater(t, cut, 100)
			requireWhole(t, e.windows[:cut], before)
			requireWhole(t, e.windows[cut:], m.states)
			boots, anew := map[uint16]bool{}, 0
			for k, r := range e.readings {
				boots[r.Boot] = true
				if k > 0 && r.Seq < e.readings[k-1].Seq {
					anew++
				}
				assert.True(t, r.HasSeq)
			}
			assert.Equal(t, 1, anew)
			assert.Len(t, boots, map[bool]int{false: 2, true: 1}[sameBoot])
		})
	}
}

// TestTalker_Exceptions: what can never be answered ends the talk before anything was
// read, with the name of the exception and what to do; later it is a damage.
func TestTalker_Exceptions(t *testing.T) {
	memory := sensorbox.Memory{}
	memory.Put(series.ReadHolding, 0, 7)
	slave := &sensorbox.Slave{Unit: 1, Image: memory.Image}
	flow := series.Register{Channel: "gas_flow", Function: 4, Type: series.U16, Unit: "L/min", Scale: 0.1}
	_, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 1, Registers: []series.Register{flow}}}, time.Minute)
	require.EqualError(t, err, "modbus: unit 1, function 4, registers 0 to 0: refused: exception 1, illegal function")
	assert.Contains(t, err.(*modbus.Error).Hint(), "set function to the other of 3 and 4")

	flow.Function, flow.Address = 3, 5
	_, err = listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 1, Registers: []series.Register{flow}}}, time.Minute)
	require.EqualError(t, err, "modbus: unit 1, function 3, registers 5 to 5: refused: exception 2, illegal data address")
	assert.Contains(t, err.(*modbus.Error).Hint(), "count from 1")

	flow.Address = 0
	slave.Trouble = func(n int) sensorbox.SlaveTrouble {
		return sensorbox.SlaveTrouble{Exception: map[bool]modbus.Exception{true: modbus.IllegalAddress}[n >= 10]}
	}
	e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 1, Registers: []series.Register{flow}}}, time.Second)
	require.NoError(t, err)
	assert.Len(t, e.slow[0], 10)
	assert.InDelta(t, 0.7, e.slow[0][0], 1e-12)
	assert.Greater(t, e.kinds()[modbus.Refused], 100)

	slave.Trouble = func(int) sensorbox.SlaveTrouble { return sensorbox.SlaveTrouble{Exception: 6} }
	_, err = listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 1, Registers: []series.Register{flow}}}, time.Second)
	require.NoError(t, err, "a slave that is busy is asked again")
}

// TestTalker_StillRegisters: a slave may answer with the same registers for ever; that
// is no damage, and no window.
func TestTalker_StillRegisters(t *testing.T) {
	registers := modbus.Block{Boot: 4, Seq: 9, TickUS: 5e6, Energy: 77}.Registers()
	slave := &sensorbox.Slave{Unit: 2, Image: func(modbus.Request) ([]uint16, modbus.Exception) { return registers, 0 }}
	e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 2}}, time.Second)
	require.NoError(t, err)
	assert.Empty(t, e.windows)
	assert.Empty(t, e.damages)
	assert.Greater(t, len(e.readings), 100, "it is heard all the same")
}

// TestTalker_LongSilence: the energy of up to a minute is one window, beyond that
// nobody knows what the arc did.
func TestTalker_LongSilence(t *testing.T) {
	for silence, want := range map[time.Duration]string{5 * time.Second: "one window of ", 70 * time.Second: "no answer for 7"} {
		m := (*meter)(nil)
		from := time.Time{}
		slave := &sensorbox.Slave{Unit: 3}
		slave.Image = func(r modbus.Request) ([]uint16, modbus.Exception) {
			if m == nil {
				m, from = newMeter(11), time.Now()
			}
			return m.image(r)
		}
		slave.Trouble = func(int) sensorbox.SlaveTrouble {
			since := time.Since(from)
			return sensorbox.SlaveTrouble{Silent: since > 3*time.Second && since < 3*time.Second+silence}
		}
		e, err := listen(t, slave, modbus.Config{Slave: series.Slave{Unit: 3}}, 3*time.Second+2*silence)
		require.NoError(t, err)
		require.Len(t, e.events, 1)
		assert.Equal(t, series.Remark, e.events[0].Kind)
		assert.Contains(t, e.events[0].Text, want)
		if silence < time.Minute {
			requireWhole(t, e.windows, m.states)
			continue
		}
		lost := 0
		for k := 1; k < len(e.readings); k++ {
			lost += int(e.readings[k].Seq-e.readings[k-1].Seq) - 1
		}
		assert.Greater(t, lost, 100, "the account sees a gap of as many polls")
		require.Contains(t, e.events[0].Text, "are in no pass")
	}
}
