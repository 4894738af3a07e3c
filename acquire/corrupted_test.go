package acquire_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// corruptedFrames is the variable that says how many frames of each link are
// damaged, over three boxes.
const corruptedFrames = "ARCTALLY_CORRUPTED_FRAMES"

const (
	babblers    = 3  // boxes at once
	perFrame    = 4  // samples of a binary frame
	frameTicks  = 10 // us, from one frame or line to the next
	helloEvery  = 64 // frames
	damagedEach = 3  // of so many frames one is damaged, and a little more
)

// sampleOf is what a box measured: its sample k of unit n. No two are alike for long.
func sampleOf(box, n, k int) (v, i int16) {
	h := uint64(box+1)*0x9E3779B97F4A7C15 + uint64(n)*0xBF58476D1CE4E5B9 + uint64(k)*0x94D049BB133111EB
	h ^= h >> 29
	h *= 0xBF58476D1CE4E5B9
	return int16(h>>16)/2 + 1, int16(h>>40)/2 + 1
}

// babbler is the line of one box: a reader of what it says, some of it damaged.
type babbler struct {
	box    int
	link   string
	want   int // units that are to be damaged
	random *rand.Rand
	others [][]byte // units of other links

	n       int    // units so far
	damaged []bool // by unit
	count   int    // of them
	ready   []byte
	kinds   map[string]int
}

// unit is the next frame or line as the box means it.
func (b *babbler) unit() (unit []byte) {
	n := b.n
	b.n++
	b.damaged = append(b.damaged, false)
	tick := uint64(n) * frameTicks
	if b.link != link.Binary {
		v, i := sampleOf(b.box, n, 0)
		l := link.Line{
			Boot: uint16(b.box), Seq: uint32(n), TickUS: tick,
			Voltage: link.Mean{Value: float64(v) / 1000, Known: true}, Current: link.Mean{Value: float64(i) / 100, Known: true},
		}
		if b.link == link.Delimited {
			return link.AppendDelimited(nil, l)
		}
		return link.AppendLineProtocol(nil, "box1", l)
	}
	h := link.Header{Boot: uint16(b.box), Seq: uint32(n), TickUS: tick, StepUS: 1}
	if n%helloEvery == 0 {
		unit, err := link.AppendHello(nil, h, described())
		if err != nil {
			panic(err)
		}
		return unit
	}
	var v, i [perFrame]int16
	for k := range v {
		v[k], i[k] = sampleOf(b.box, n, k)
	}
	return link.AppendSamples(nil, h, v[:], i[:])
}

// Read implements io.Reader.
func (b *babbler) Read(p []byte) (int, error) {
	for len(b.ready) == 0 {
		if b.count >= b.want {
			return 0, io.EOF
		}
		b.speak()
	}
	n := copy(p, b.ready[:min(len(b.ready), 1+b.random.IntN(700))])
	b.ready = b.ready[n:]
	return n, nil
}

// speak says some units, of which some are damaged; the last is whole.
func (b *babbler) speak() {
	b.ready = b.ready[:0]
	for range 100 {
		if b.n == 0 || b.random.IntN(damagedEach) > 0 {
			b.ready = append(b.ready, b.unit()...)
			continue
		}
		b.damage()
	}
	b.ready = append(b.ready, b.unit()...)
}

// damage says one or two units, damaged in one of many ways.
func (b *babbler) damage() {
	first := b.n
	units := [][]byte{b.unit()}
	kind := harms[b.random.IntN(len(harms))]
	if kind.two {
		units = append(units, b.unit())
	}
	whole := make([][]byte, len(units))
	for k := range units {
		whole[k] = slices.Clone(units[k])
	}
	said := kind.harm(b, units)
	for k := range units {
		if b.hurt(whole[k], said) {
			b.damaged[first+k] = true
			b.count++
			b.kinds[kind.name]++
		}
	}
	b.ready = append(b.ready, said...)
}

// hurt reports whether a unit is no longer among what was said. One of which only
// the checksum is spelt otherwise says what it said.
func (b *babbler) hurt(unit, said []byte) bool {
	end := byte('\n')
	if b.link == link.Binary {
		end = 0
	}
	for run := range bytes.SplitSeq(said, []byte{end}) {
		if bytes.Equal(b.plain(run), b.plain(unit[:len(unit)-1])) {
			return false
		}
	}
	return true
}

// plain writes the checksum of a line in the one way in which a box writes it.
func (b *babbler) plain(run []byte) []byte {
	run = bytes.TrimSuffix(run, []byte{'\r'})
	switch b.link {
	case link.Delimited:
		if at := bytes.LastIndexByte(run, '*'); at >= 0 {
			return append(slices.Clone(run[:at]), bytes.ToLower(run[at:])...)
		}
	case link.LineProtocol:
		if at := bytes.LastIndex(run, []byte(",ck=")); at >= 0 {
			return append(slices.Clone(run[:at+4]), bytes.TrimLeft(run[at+4:], "0")...)
		}
	}
	return run
}

// harms are what can become of one unit, or of two.
var harms = []struct {
	name string
	two  bool
	harm func(b *babbler, units [][]byte) []byte
}{
	{"one bit", false, func(b *babbler, u [][]byte) []byte { return b.flip(u[0], 1) }},
	{"some bits", false, func(b *babbler, u [][]byte) []byte { return b.flip(u[0], 2+b.random.IntN(30)) }},
	{"a burst", false, func(b *babbler, u [][]byte) []byte {
		from, to := b.span(u[0])
		for k := from; k < to; k++ {
			u[0][k] = byte(b.random.Uint32())
		}
		return u[0]
	}},
	{"cut out", false, func(b *babbler, u [][]byte) []byte {
		from, to := b.span(u[0])
		return append(slices.Clone(u[0][:from]), u[0][to:]...)
	}},
	{"cut short", false, func(b *babbler, u [][]byte) []byte {
		return append(slices.Clone(u[0][:b.random.IntN(len(u[0])-1)]), u[0][len(u[0])-1])
	}},
	{"put in", false, func(b *babbler, u [][]byte) []byte {
		more := make([]byte, 1+b.random.IntN(8))
		for k := range more {
			more[k] = byte(b.random.Uint32())
		}
		return slices.Insert(u[0], b.random.IntN(len(u[0])), more...)
	}},
	{"repeated", false, func(b *babbler, u [][]byte) []byte {
		from, to := b.span(u[0])
		return slices.Insert(u[0], from, slices.Clone(u[0][from:to])...)
	}},
	{"joined", true, func(_ *babbler, u [][]byte) []byte { return append(u[0][:len(u[0])-1], u[1]...) }},
	{"halves swapped", true, func(b *babbler, u [][]byte) []byte {
		x, y := 1+b.random.IntN(len(u[0])-2), 1+b.random.IntN(len(u[1])-2)
		if x == y {
			x++ // what begins alike would only change places, whole
		}
		return slices.Concat(u[0][:x], u[1][y:], u[1][:y], u[0][x:])
	}},
	{"turned round", false, func(b *babbler, u [][]byte) []byte {
		from, to := b.span(u[0])
		slices.Reverse(u[0][from:to])
		return u[0]
	}},
	{"another link in between", false, func(b *babbler, u [][]byte) []byte {
		return slices.Insert(u[0], 1+b.random.IntN(len(u[0])-1), b.others[b.random.IntN(len(b.others))]...)
	}},
}

func (b *babbler) flip(unit []byte, bits int) []byte {
	for range bits {
		unit[b.random.IntN(len(unit))] ^= 1 << b.random.IntN(8)
	}
	return unit
}

// span is a piece of a unit, not empty.
func (b *babbler) span(unit []byte) (from, to int) {
	from = b.random.IntN(len(unit))
	return from, from + 1 + b.random.IntN(min(40, len(unit)-from))
}

// doubter is a sink that holds each sample against what the box measured.
type doubter struct {
	box      int
	scale    int32 // codes of a unit of sampleOf
	line     *babbler
	right    int64
	believed []string
}

func (d *doubter) Source(s series.Source) error {
	if !s.Equal(described()) && d.line.link == link.Binary {
		d.doubt("a description that no box gave: %v", s)
	}
	return nil
}

func (d *doubter) Event(series.Event) error { return nil }

func (d *doubter) Block(b *series.Block) error {
	for k := range b.V {
		us := b.At(k) / 1000
		n, at := int(us/frameTicks), int(us%frameTicks)
		v, i := sampleOf(d.box, n, at)
		switch {
		case n >= d.line.n || at >= perFrame:
			d.doubt("tick %d is nobody's", b.At(k))
		case d.line.damaged[n]:
			d.doubt("unit %d was damaged", n)
		case b.V[k] != int32(v)*d.scale || b.I[k] != int32(i)*d.scale:
			d.doubt("unit %d, sample %d: %d %d for %d %d", n, at, b.V[k], b.I[k], v, i)
		default:
			d.right++
		}
	}
	return nil
}

func (d *doubter) doubt(format string, args ...any) {
	if len(d.believed) < 10 {
		d.believed = append(d.believed, fmt.Sprintf(format, args...))
	}
}

// Whatever happens to frames on their way, over three boxes at once, none that was
// damaged is believed, and each is accounted for. (The link by columns has no checksum: it is
// no part of this, and says so.)
func TestRecord_NoDamagedFrameIsBelieved(t *testing.T) {
	frames := 10_000
	if text := os.Getenv(corruptedFrames); text != "" {
		var err error
		frames, err = strconv.Atoi(text)
		require.NoError(t, err)
	}
	names := []string{link.Binary, link.Delimited, link.LineProtocol}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			var others [][]byte
			for _, other := range names {
				if other != name {
					b := &babbler{link: other, n: 1}
					others = append(others, b.unit())
				}
			}
			var lines [babblers]*babbler
			var sinks [babblers]*doubter
			var tallies [babblers]acquire.Tally
			var failed [babblers]error
			var boxes sync.WaitGroup
			for n := range babblers {
				lines[n] = &babbler{
					box: n, link: name, want: (frames + babblers - 1) / babblers, others: others,
					random: rand.New(rand.NewPCG(uint64(n), uint64(frames))), kinds: map[string]int{},
				}
				sinks[n] = &doubter{box: n, line: lines[n], scale: 1}
				if name != link.Binary {
					sinks[n].scale = 1000
				}
				boxes.Go(func() {
					tallies[n], failed[n] = acquiretest.Record(context.Background(), lines[n], acquiretest.Config{Link: name, Sinks: []series.Sink{sinks[n]}})
				})
			}
			boxes.Wait()
			total := 0
			for n := range babblers {
				require.NoError(t, failed[n])
				assert.Empty(t, sinks[n].believed)
				assert.Equal(t, tallies[n].Samples, sinks[n].right)
				assert.EqualValues(t, lines[n].n, tallies[n].Frames-tallies[n].Repeated+tallies[n].Lost, "each is there, or known to be lost")
				assert.GreaterOrEqual(t, tallies[n].Lost, int64(lines[n].count))
				assert.EqualValues(t, 1, tallies[n].Epochs)
				assert.Len(t, lines[n].kinds, len(harms))
				total += lines[n].count
			}
			t.Logf("%d damaged, none believed; %d samples of whole frames", total, sinks[0].right+sinks[1].right+sinks[2].right)
		})
	}
}
