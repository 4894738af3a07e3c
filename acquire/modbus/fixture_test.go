package modbus_test

import (
	"context"
	"math/rand/v2"
	"net"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
	"arctally/acquire/modbus"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
)

// ear keeps what a talker says.
type ear struct {
	mu       sync.Mutex
	readings []link.Reading
	windows  []series.Block
	arcs     []series.Block
	slow     map[uint8][]float64
	damages  []*modbus.Error
	events   []series.Event
	sources  []series.Source
	bytes    int
	through  int
	trips    []time.Duration
}

func (e *ear) Heard(arrival time.Time, r *link.Reading, damage error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if damage != nil {
		e.damages = append(e.damages, damage.(*modbus.Error))
		return
	}
	if r.Source != nil {
		e.sources = append(e.sources, *r.Source)
	}
	e.trips = append(e.trips, arrival.Sub(r.Asked))
	for k := range r.Blocks {
		var b series.Block
		b.CopyFrom(&r.Blocks[k])
		switch b.Kind {
		case series.Sums:
			e.windows = append(e.windows, b)
		case series.Arc:
			e.arcs = append(e.arcs, b)
		case series.Slow:
			for n, channel := range b.Channel {
				if e.slow == nil {
					e.slow = map[uint8][]float64{}
				}
				e.slow[channel] = append(e.slow[channel], b.Value[n])
			}
		}
	}
	kept := *r
	kept.Blocks = nil
	e.readings = append(e.readings, kept)
}

func (e *ear) Through(_ time.Time, bytes int) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.bytes += bytes
	e.through++
}

func (e *ear) Line(event series.Event) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.events = append(e.events, event)
}

// kinds counts the damages by their kind.
func (e *ear) kinds() map[modbus.Kind]int {
	counts := map[modbus.Kind]int{}
	for _, d := range e.damages {
		counts[d.Kind]++
	}
	return counts
}

// listen has a slave polled for some time of a clock that runs as fast as it can.
func listen(t *testing.T, slave *sensorbox.Slave, c modbus.Config, length time.Duration) (e *ear, err error) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		host, box := net.Pipe()
		served := make(chan error, 1)
		go func() { served <- slave.Serve(box) }()
		ctx, stop := context.WithTimeout(t.Context(), length)
		defer stop()
		e = &ear{}
		err = modbus.New(host, c).Talk(ctx, e)
		require.NoError(t, host.Close())
		t.Log("the slave ended with the line:", <-served)
	})
	return e, err
}

// meter is a slave's own account of an arc that comes and goes: what it counts of a
// clock of whole microseconds. Its states are what was true at each request.
type meter struct {
	mu     sync.Mutex
	rng    *rand.Rand
	boot   uint16
	began  time.Time
	us     int64 // that are counted
	burnUS int64
	rest   int64 // us until the arc goes out or comes back
	on     bool
	uJ     int64
	fed    int64
	block  modbus.Block
	states []modbus.Block
}

func newMeter(seed uint64) *meter {
	return &meter{rng: rand.New(rand.NewPCG(seed, 7)), boot: uint16(seed), began: time.Now(), rest: 200_000}
}

// advance counts up to now.
func (m *meter) advance() {
	until := time.Since(m.began).Microseconds()
	for m.us < until {
		step := min(until-m.us, m.rest)
		m.us += step
		m.rest -= step
		m.block.Samples += uint32(step / 100)
		if m.on {
			m.burnUS += step
			m.block.Voltage += uint64(step * (15 + m.rng.Int64N(10)))
			m.block.Current += uint64(step * (100 + m.rng.Int64N(100)))
			m.uJ += step * (2000 + m.rng.Int64N(3000))
			m.fed += step * 90
		} else {
			m.block.Voltage += uint64(step * 60)
		}
		if m.rest == 0 {
			m.on, m.rest = !m.on, 1+m.rng.Int64N(3_000_000)
		}
	}
	b := &m.block
	b.Boot, b.Seq, b.TickUS, b.Energy = m.boot, b.Seq+1, uint64(m.us), uint64(m.uJ/1000)
	b.ArcOn, b.WireCount, b.WireSpeed = uint32(m.burnUS/1000), uint32(m.fed/100_000), 0.09
}

func (m *meter) image(r modbus.Request) ([]uint16, modbus.Exception) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.advance()
	m.states = append(m.states, m.block)
	return m.block.Registers(), 0
}

// restart is a power failure.
func (m *meter) restart() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.boot++
	m.began, m.us, m.burnUS, m.uJ, m.fed, m.block = time.Now(), 0, 0, 0, 0, modbus.Block{}
}

// total adds windows up.
func total(windows []series.Block) (sum series.WindowSums, arcOn int64) {
	for _, w := range windows {
		sum.V += w.Sum.V
		sum.I += w.Sum.I
		sum.VI += w.Sum.VI
		sum.WireCount += w.Sum.WireCount
		arcOn += int64(w.Sum.ArcOn)
	}
	return sum, arcOn
}

// requireWhole wants the windows to join, and to hold all that was counted from the
// first state that one of them begins with to the last that one ends with.
func requireWhole(t *testing.T, windows []series.Block, states []modbus.Block) {
	t.Helper()
	require.NotEmpty(t, windows)
	at := map[int64]modbus.Block{}
	for _, s := range states {
		at[int64(s.TickUS)*1000] = s
	}
	for k := 1; k < len(windows); k++ {
		require.Equal(t, windows[k-1].End(), windows[k].Tick, "window %d", k)
	}
	last := windows[len(windows)-1]
	first, begun := at[windows[0].Tick]
	end, ended := at[last.End()]
	require.True(t, begun && ended, "a window begins and ends with a state of the registers")
	sum, arcOn := total(windows)
	require.Equal(t, int64(end.Energy-first.Energy)*1000, sum.VI, "uJ")
	require.Equal(t, int64(end.Voltage-first.Voltage), sum.V, "uV*s")
	require.Equal(t, int64(end.Current-first.Current), sum.I, "uA*s")
	require.Equal(t, end.WireCount-first.WireCount, sum.WireCount)
	require.InDelta(t, int64(end.ArcOn-first.ArcOn)*1000, arcOn, 2000, "us in arc")
}
