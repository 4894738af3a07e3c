package capture

import (
	"bytes"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// memory is a sink that keeps all it is given.
type memory struct {
	source series.Source
	blocks []series.Block
	events []series.Event
	fits   []clock.Fit
}

func (m *memory) Source(s series.Source) error { m.source = s; return nil }

func (m *memory) Block(b *series.Block) error {
	c := *b
	c.Ticks, c.V, c.I, c.Flag = slices.Clone(b.Ticks), slices.Clone(b.V), slices.Clone(b.I), slices.Clone(b.Flag)
	c.Channel, c.Value, c.Count = slices.Clone(b.Channel), slices.Clone(b.Value), slices.Clone(b.Count)
	m.blocks = append(m.blocks, c)
	return nil
}

func (m *memory) Event(e series.Event) error { m.events = append(m.events, e); return nil }

func (m *memory) Clock(f clock.Fit) error { m.fits = append(m.fits, f); return nil }

// of returns the events of a kind.
func (m *memory) of(k series.EventKind) []series.Event {
	var out []series.Event
	for _, e := range m.events {
		if e.Kind == k {
			out = append(out, e)
		}
	}
	return out
}

// total returns what the events of a kind count.
func (m *memory) total(k series.EventKind) int64 {
	var n int64
	for _, e := range m.of(k) {
		n += e.Count
	}
	return n
}

// sample is one row as the sink got it.
type sample struct {
	epoch int
	tick  int64
	v, i  float64
	code  [2]int32
	flag  bool
	after bool // a break lies before it
}

func (m *memory) samples() []sample {
	var out []sample
	v, i := m.source.Channels[series.VoltageChannel], m.source.Channels[series.CurrentChannel]
	for _, b := range m.blocks {
		if b.Kind != series.Arc {
			continue
		}
		for k := range b.V {
			s := sample{
				epoch: b.Epoch, tick: b.At(k), code: [2]int32{b.V[k], b.I[k]}, after: b.Break && k == 0,
				v: float64(b.V[k])*v.Scale + v.Offset, i: float64(b.I[k])*i.Scale + i.Offset,
			}
			if b.Flag != nil {
				s.flag = b.Flag[k]
			}
			out = append(out, s)
		}
	}
	return out
}

// Thresholds of the reference, the defaults of a procedure.
const refVolts, refAmperes = 8, 15

// arc computes arc time in s and energy in J as the design defines them: steps
// whose two ends are in arc, on true times, without what is held.
func (m *memory) arc() (seconds, joules float64) {
	var rows []sample
	for _, s := range m.samples() {
		if n := len(rows); n > 0 && s.epoch == rows[n-1].epoch && s.tick <= rows[n-1].tick {
			rows[n-1].after = rows[n-1].after || s.after
			continue
		}
		rows = append(rows, s)
	}
	in := m.inArc(rows)
	for k := 1; k < len(rows); k++ {
		if in[k] && in[k-1] && !rows[k].after && rows[k].epoch == rows[k-1].epoch {
			d := float64(rows[k].tick-rows[k-1].tick) / 1e9
			seconds += d
			joules += d * (rows[k].v*rows[k].i + rows[k-1].v*rows[k-1].i) / 2
		}
	}
	return seconds, joules
}

func (m *memory) inArc(rows []sample) []bool {
	in := make([]bool, len(rows))
	flagged := len(m.blocks) > 0 && slices.ContainsFunc(m.blocks, func(b series.Block) bool { return b.Flag != nil })
	for k, s := range rows {
		in[k] = s.i >= refAmperes && s.v >= refVolts/4
		if flagged {
			in[k] = s.flag
		}
	}
	if m.source.HeldAfter == 0 {
		return in
	}
	for from := 0; from < len(rows); {
		to := from
		for to+1 < len(rows) && rows[to+1].code == rows[from].code && rows[to+1].epoch == rows[from].epoch {
			to++
		}
		if rows[to].tick-rows[from].tick > m.source.HeldAfter {
			for k := from; k <= to; k++ {
				// A standstill that was not seen to begin may have been held for long.
				in[k] = in[k] && from > 0 && rows[k].tick-rows[from].tick <= m.source.HeldArc
			}
		}
		from = to + 1
	}
	return in
}

// read imports text from memory.
func read(t testing.TB, text []byte, o Options) (*memory, Summary) {
	t.Helper()
	m := &memory{}
	s, err := Import(bytes.NewReader(text), int64(len(text)), "made.csv", o, m, nil)
	require.NoError(t, err)
	return m, s
}
