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
		"busy":        func(n int) sensorbox.SlaveTrouble { return sensorbox.SlaveTrouble{Exception: modbus.Exception(6 * (n % 2))} },
		"echo":        func(int) sensorbox.SlaveTrouble { return sensorbox.SlaveTrouble{Echo: true} },
		"turn-round":  func(int) sensorbox.SlaveTrouble { return sensorbox.SlaveTrouble{Before: []byte{0}, After: []byte{0xff, 0}} },
		"another slave": func(n int) sensorbox.SlaveTrouble {
			other := modbus.Request{Unit: 9, Function: modbus.ReadInput, Count: modbus.BlockRegisters}
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
			e, err := listen(t, slave, modbus.Config{Unit: 3}, 20*time.Second)
			require.NoError(t, err)
			requireWhole(t, e.windows, m.states)
			assert.Greater(t, endOf(e.windows[len(e.windows)-1]), int64(17e9), "nearly to the end")
			if name == "none" {
				assert.Empty(t, e.damages)
				assert.Len(t, e.sources, len(e.windows))
				assert.Equal(t, series.Instantaneous, e.sources[0].Channels[0].Basis)
			}
		})
	}
}
