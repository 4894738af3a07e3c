package acquire_test

import (
	"bytes"
	"context"
	"io"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/acquiretest"
	"arctally/acquire/clock"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// samples and stepUS are those of every frame of samples here: 32 at 10 kHz.
const (
	samples = 32
	stepUS  = 100
	step    = stepUS * 1000 // ns
)

// box writes frames as a sensor box does.
type box struct {
	t      *testing.T
	stream []byte
	head   link.Header // of the next frame
	code   int16       // of the next sample: each is one more than the one before
}

func newBox(t *testing.T) *box { return &box{t: t, head: link.Header{Boot: 6, StepUS: stepUS}} }

// sent ends a frame: flags hold for one frame only.
func (b *box) sent() {
	b.head.Seq++
	b.head.Overrun, b.head.Clipped, b.head.AtMark = false, false, false
}

func (b *box) hello(s series.Source) {
	var err error
	b.stream, err = link.AppendHello(b.stream, b.head, s)
	require.NoError(b.t, err)
	b.sent()
}

func (b *box) arc(frames int) {
	for range frames {
		v, i := make([]int16, samples), make([]int16, samples)
		for k := range v {
			v[k], i[k] = b.code, -b.code
			b.code++
		}
		b.stream = link.AppendSamples(b.stream, b.head, v, i)
		b.sent()
		b.head.TickUS += samples * stepUS
	}
}

// loseArc is frames of samples that are sent and never arrive.
func (b *box) loseArc(frames int) {
	kept := len(b.stream)
	b.arc(frames)
	b.stream = b.stream[:kept]
}

func (b *box) sums() {
	b.stream = link.AppendSums(b.stream, b.head, series.WindowSums{Count: samples, VMin: -1, VMax: 1, IMin: -1, IMax: 1})
	b.sent()
	b.head.TickUS += samples * stepUS
}

// turn sends counts that were gathered, a sample apart.
func (b *box) turn(counts ...int32) {
	ticks := make([]uint64, len(counts))
	for k := range ticks {
		ticks[k] = b.head.TickUS + stepUS*uint64(k)
	}
	b.stream = link.AppendTurn(b.stream, b.head, ticks, counts)
	b.sent()
}

// atMark sends counts, the last of which stands at the reference mark.
func (b *box) atMark(counts ...int32) {
	b.head.AtMark = true
	b.turn(counts...)
}

func (b *box) slow(channel uint8, value float64) {
	b.stream = link.AppendSlow(b.stream, b.head, []uint8{channel}, []float64{value})
	b.sent()
}

func (b *box) reboot() { b.head = link.Header{Boot: b.head.Boot + 1, StepUS: stepUS} }

func (b *box) repeatLast(f func()) {
	before := len(b.stream)
	f()
	b.stream = append(b.stream, b.stream[before:]...)
}

// described is a box with scales of its own.
func described() series.Source {
	return series.Source{
		Name: "box 1", Serial: "17", Firmware: "1.0", Link: link.Binary, CountsPerTurn: 3600,
		Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: 2e-3, Bits: 16, Basis: series.Instantaneous},
			{Name: "current", Unit: "A", Scale: 2e-2, Bits: 16, Basis: series.Instantaneous},
			{Name: "gas_flow", Unit: "L/min", Scale: 1},
		},
	}
}

// memory is a sink that keeps copies of all it gets.
type memory struct {
	calls   []string // in order: source, arc, break arc, sums, slow, turn, and the kinds of events
	sources []series.Source
	blocks  []series.Block
	events  []series.Event
	fits    []clock.Fit
	failAt  int // the call that fails; 0 is none
	failure error
}

func (m *memory) call(what string) error {
	m.calls = append(m.calls, what)
	if len(m.calls) == m.failAt {
		return m.failure
	}
	return nil
}

func (m *memory) Source(s series.Source) error {
	m.sources = append(m.sources, s)
	return m.call("source")
}

func (m *memory) Block(b *series.Block) error {
	c := *b
	c.Ticks, c.V, c.I = slices.Clone(b.Ticks), slices.Clone(b.V), slices.Clone(b.I)
	c.Channel, c.Value, c.Count = slices.Clone(b.Channel), slices.Clone(b.Value), slices.Clone(b.Count)
	m.blocks = append(m.blocks, c)
	name := map[series.Kind]string{series.Arc: "arc", series.Sums: "sums", series.Slow: "slow", series.Turn: "turn"}[b.Kind]
	if b.Break {
		name = "break " + name
	}
	return m.call(name)
}

func (m *memory) Event(e series.Event) error {
	m.events = append(m.events, e)
	return m.call(string(e.Kind))
}

func (m *memory) Clock(f clock.Fit) error {
	m.fits = append(m.fits, f)
	return nil
}

// sample is one sample of voltage and current, as a sink sees it.
type sample struct {
	epoch int
	begin bool // it does not follow the one before
	tick  int64
	v, i  int32
}

func (m *memory) samples() []sample {
	var all []sample
	for _, b := range m.blocks {
		if b.Kind != series.Arc {
			continue
		}
		for k := range b.V {
			all = append(all, sample{b.Epoch, b.Break && k == 0, b.At(k), b.V[k], b.I[k]})
		}
	}
	return all
}

func (m *memory) events1(t *testing.T, kind series.EventKind) series.Event {
	t.Helper()
	var found []series.Event
	for _, e := range m.events {
		if e.Kind == kind {
			found = append(found, e)
		}
	}
	require.Len(t, found, 1, "events of kind %s", kind)
	require.NotEmpty(t, found[0].Text)
	return found[0]
}

// pieces is a reader that gives one piece for each Read, and a clock that
// advances with each.
type pieces struct {
	left []piece
	now  time.Time
	at   func() // called before every Read
}

type piece struct {
	bytes []byte
	after time.Duration
}

func (p *pieces) Read(buf []byte) (int, error) {
	if p.at != nil {
		p.at()
	}
	if len(p.left) == 0 {
		return 0, io.EOF
	}
	next := &p.left[0]
	p.now = p.now.Add(next.after)
	next.after = 0
	n := copy(buf, next.bytes)
	if next.bytes = next.bytes[n:]; len(next.bytes) == 0 {
		p.left = p.left[1:]
	}
	return n, nil
}

// cut divides a stream into pieces of a size, as far apart in time.
func cut(stream []byte, size int, apart time.Duration) *pieces {
	p := &pieces{now: time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)}
	for chunk := range slices.Chunk(stream, size) {
		p.left = append(p.left, piece{chunk, apart})
	}
	return p
}

// record records pieces into a memory, and requires that it went well.
func record(t *testing.T, name string, p *pieces) (*memory, acquire.Tally) {
	t.Helper()
	m := &memory{}
	tally, err := acquiretest.Record(context.Background(), p, acquiretest.Config{
		Link: name, Now: func() time.Time { return p.now }, Sinks: []series.Sink{m},
	})
	require.NoError(t, err)
	return m, tally
}

// recordAll records a stream that comes in one read.
func recordAll(t *testing.T, b *box) (*memory, acquire.Tally) {
	t.Helper()
	return record(t, link.Binary, cut(b.stream, len(b.stream), 0))
}

// garbage is bytes of a wrong baud rate: hardly ever a zero, and no frame.
func garbage(n int) []byte { return bytes.Repeat([]byte{0xf8, 0x1e, 0x00, 0xe0, 0x7f}, n/5) }
