package join

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/clock"
	"arctally/acquire/series"
)

var noon = time.Date(2026, 11, 27, 12, 0, 0, 0, time.UTC)

// call is what one box hands to a sink, at a host time.
type call struct {
	box    int
	at     time.Duration // on its way to the sink
	source *series.Source
	block  *series.Block
	event  *series.Event
	fit    *clock.Fit
}

func (c *call) to(j *Join) error {
	switch {
	case c.source != nil:
		return j.Source(*c.source)
	case c.block != nil:
		return j.Block(c.block)
	case c.event != nil:
		return j.Event(*c.event)
	default:
		return j.Clock(*c.fit)
	}
}

// teller is a box of a simulated world: its clock, its epochs, and what it says.
type teller struct {
	number int
	ppm    float64
	late   time.Duration // of its host times
	boots  []time.Duration
	random *rand.Rand
	said   []call
	epochs []int
}

func (b *teller) epochAt(at time.Duration) (epoch int, boot time.Duration) {
	for k, t := range b.boots {
		if at >= t {
			epoch, boot = b.epochs[k], t
		}
	}
	return epoch, boot
}

// tick is its clock at a true time.
func (b *teller) tick(at time.Duration) (epoch int, tick int64) {
	epoch, boot := b.epochAt(at)
	return epoch, int64(3e9) + int64(float64(at-boot)*(1+b.ppm*1e-6))
}

func (b *teller) says(at time.Duration, c call) {
	c.box, c.at = b.number, at
	b.said = append(b.said, c)
}

func (b *teller) fit(at time.Duration) {
	epoch, tick := b.tick(at)
	noise := time.Duration(b.random.Int64N(20_000)) // ns
	f := clock.Fit{Box: b.number, Epoch: epoch, Tick: tick, Wall: noon.Add(at + b.late + noise), Slope: 1 / (1 + b.ppm*1e-6)}
	b.says(at, call{fit: &f})
}

// world has three boxes say what they measured in a minute: the arc with a gas flow of
// its own, the turns of the torch with a wire speed, and a temperature.
func world(seed uint64) [][]call {
	const long = 60 * time.Second
	random := rand.New(rand.NewPCG(seed, 1))
	boxes := []*teller{
		{number: 0, ppm: 50, late: time.Millisecond, boots: []time.Duration{0, 34 * time.Second}, epochs: []int{0, 4}},
		{number: 1, ppm: -30, late: 16 * time.Millisecond, boots: []time.Duration{0, 21 * time.Second}, epochs: []int{1, 3}},
		{number: 2, ppm: 10, late: 3 * time.Millisecond, boots: []time.Duration{0}, epochs: []int{2}},
	}
	for _, b := range boxes {
		b.random = random
		b.says(0, call{source: sourceOf(b.number)})
		var turned []int64
		var ticks []int64
		for at := time.Duration(0); at < long; at += 50 * time.Millisecond {
			epoch, tick := b.tick(at)
			if slices.Contains(b.boots[1:], at) {
				turned, ticks = nil, nil
				b.says(at, call{event: &series.Event{Kind: series.Reboot, Box: b.number, Epoch: epoch, Tick: tick, Until: tick, Count: 1, Text: "it started again"}})
			}
			switch b.number {
			case 0:
				v := make([]int32, 50)
				for k := range v {
					v[k] = int32(random.IntN(1000))
				}
				b.says(at, call{block: &series.Block{Kind: series.Arc, Epoch: epoch, Tick: tick, Step: 1e6, V: v, I: slices.Clone(v)}})
			case 1:
				if at%(300*time.Millisecond) == 0 {
					turned, ticks = append(turned, int64(at/(300*time.Millisecond))), append(ticks, tick)
				}
				if len(turned) > 0 && at%(2*time.Second) == 0 {
					b.says(at, call{event: &series.Event{Kind: series.Index, Box: 1, Epoch: epoch, Tick: ticks[0], Until: ticks[0], Count: turned[0]}})
					b.says(at, call{block: &series.Block{Kind: series.Turn, Box: 1, Epoch: epoch, Tick: ticks[0], Ticks: ticks, Count: turned}})
					turned, ticks = nil, nil
				}
			}
			if at%(100*time.Millisecond) == 0 {
				channel := []uint8{2, 0, 1}[b.number]
				b.says(at, call{block: &series.Block{Kind: series.Slow, Box: b.number, Epoch: epoch, Tick: tick, Channel: []uint8{channel}, Value: []float64{random.Float64()}}})
			}
			if at%time.Second == 0 {
				b.fit(at)
			}
			if b.number == 1 && at == 30*time.Second {
				b.says(at, call{event: &series.Event{Kind: series.Offset, Box: 1, Epoch: epoch, Tick: tick, Until: tick, Count: 2e6}})
			}
		}
		b.fit(long)
	}
	return [][]call{boxes[0].said, boxes[1].said, boxes[2].said}
}

func sourceOf(number int) *series.Source {
	s := series.Source{Box: number, Name: fmt.Sprintf("box-%d", number)}
	channel := func(name, unit string) {
		s.Channels = append(s.Channels, series.Channel{Name: name, Unit: unit, Scale: 1})
	}
	switch number {
	case 0:
		channel("voltage", "V")
		channel("current", "A")
		channel("gas_flow", "L/min")
	case 1:
		s.CountsPerTurn = 360
		channel("wire_speed", "m/s")
		channel("gas_flow", "L/min")
	default:
		channel("voltage", "V")
		channel("temperature", "degC")
	}
	return &s
}

// order is one order in which the boxes may be heard: each is late by delays of its own
// that change, and never falls behind itself.
func order(said [][]call, seed uint64, longest time.Duration) []call {
	random := rand.New(rand.NewPCG(seed, 2))
	var all []call
	for _, box := range said {
		delay, until, last := time.Duration(0), time.Duration(0), time.Duration(0)
		for _, c := range box {
			if longest > 0 && c.at >= until {
				delay = time.Duration(random.Int64N(int64(longest)))
				until = c.at + time.Duration(random.Int64N(int64(4*time.Second)))
			}
			last = max(last, c.at+delay)
			c.at = last
			all = append(all, c)
		}
	}
	slices.SortStableFunc(all, func(a, b call) int { return int(a.at - b.at) })
	return all
}

// heard is a sink that writes down what it gets, sample by sample: blocks may be divided
// otherwise. What happened to the measurement itself may come between other samples.
type heard struct {
	lines  []string
	events []series.Event
	source series.Source
}

func (h *heard) add(format string, arg ...any) {
	h.lines = append(h.lines, fmt.Sprintf(format, arg...))
}

func (h *heard) Source(s series.Source) error {
	h.source = s
	h.add("source %s, %g counts, %v", s.Name, s.CountsPerTurn, s.Channels)
	return nil
}

func (h *heard) Block(b *series.Block) error {
	for k := range b.Len() {
		switch b.Kind {
		case series.Arc:
			h.add("%d %d arc %d %d %v", b.Epoch, b.At(k), b.V[k], b.I[k], b.Break && k == 0)
		case series.Slow:
			h.add("%d %d slow %s %v", b.Epoch, b.At(k), h.source.Channels[b.Channel[k]].Name, b.Value[k])
		case series.Turn:
			h.add("%d %d turn %d", b.Epoch, b.At(k), b.Count[k])
		default:
			h.add("%d %d sums %v", b.Epoch, b.Tick, b.Sum)
		}
	}
	return nil
}

func (h *heard) Event(e series.Event) error {
	h.events = append(h.events, e)
	if e.Kind != series.Companion && (e.Box > 0 || e.Kind == series.Offset) {
		h.add("event %v", e)
	}
	return nil
}

// live is what is handed on of calls in an order, and whether anything was late.
func live(t *testing.T, calls []call) (*heard, bool) {
	t.Helper()
	h := &heard{}
	j := New(h, 3, func(string) int { return 0 })
	for k := range calls {
		require.NoError(t, calls[k].to(j))
	}
	require.NoError(t, j.Finish())
	return h, j.Late()
}

// read is what is handed on where all is known, as it is of a record: groups of about a
// second, with slow readings and counts before samples, and the fits beforehand.
func read(t *testing.T, said [][]call, early bool) *heard {
	t.Helper()
	h := &heard{}
	j := New(h, 3, func(string) int { return 0 })
	var fits []clock.Fit
	var events []series.Event
	for _, box := range said {
		for _, c := range box {
			if c.fit != nil {
				fits = append(fits, *c.fit)
			}
			if c.event != nil {
				events = append(events, *c.event)
			}
		}
	}
	j.Know(fits)
	if early {
		require.NoError(t, j.Early(events))
	}
	left := slices.Clone(said)
	has := func(k int) bool { return len(left[k]) > 0 }
	for has(0) || has(1) || has(2) {
		k := j.Wants(has)
		if !has(k) {
			require.NoError(t, j.End(k))
			for k = 0; !has(k); k++ {
				require.NoError(t, j.End(k))
			}
		}
		var group, after []call
		epoch, until := 0, int64(0)
		n := 0
		for ; n < len(left[k]); n++ {
			c := left[k][n]
			b := c.block
			if b == nil {
				if c.source != nil && n > 0 {
					break
				}
				after = append(after, c)
				continue
			}
			if len(group) > 0 && (b.Epoch != epoch || b.Tick > until) {
				break
			}
			if len(group) == 0 {
				epoch, until = b.Epoch, b.Tick+1e9
			}
			group = append(group, c)
		}
		for _, c := range left[k][:n] {
			if c.source != nil {
				require.NoError(t, c.to(j))
			}
		}
		slices.SortStableFunc(group, func(a, b call) int { return int(b.block.Kind) - int(a.block.Kind) })
		last := int64(0)
		for _, c := range group {
			require.NoError(t, c.to(j))
			last = max(last, c.block.End())
		}
		for _, c := range after {
			if c.event != nil {
				require.NoError(t, c.to(j))
			}
		}
		left[k] = left[k][n:]
		if len(group) > 0 {
			require.NoError(t, j.Past(k, epoch, last))
		}
		if !has(k) {
			require.NoError(t, j.End(k))
		}
	}
	require.NoError(t, j.Finish())
	return h
}
