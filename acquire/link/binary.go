package link

import (
	"encoding/binary"
	"math"

	"arctally/acquire/series"
)

// binaryDecoder decodes frames; its arrays are what readings point to.
type binaryDecoder struct {
	runs     splitter
	payload  [maxRun]byte
	reading  Reading
	block    [1]series.Block
	channels int  // in the last HELLO; 0 is none yet
	arcless  bool // it does not list voltage and current first
	turns    turnCounter
	windows  windowOrder
	pong     Pong
	ping     Ping

	voltage, current [MaxSamples]int32
	channel          [MaxSlow]uint8
	value            [MaxSlow]float64
	tick, count      [MaxTurns]int64
}

func newBinaryDecoder() *binaryDecoder {
	return &binaryDecoder{runs: newSplitter(0, maxRun)}
}

// Decode implements Decoder.
func (d *binaryDecoder) Decode(p []byte, yield func(*Reading, error)) {
	for {
		run, at, damage, ok := d.runs.next(&p)
		if !ok {
			return
		}
		if damage == nil {
			damage = d.frame(run).in(run, at)
		}
		if damage != nil {
			yield(nil, damage)
		} else {
			yield(&d.reading, nil)
		}
	}
}

// frame sets the reading to what run says.
func (d *binaryDecoder) frame(run []byte) *flaw {
	size, ok := decodeCOBS(d.payload[:], run)
	if !ok {
		return &flaw{kind: NotCOBS}
	}
	if size > maxPayload {
		return &flaw{kind: TooLong}
	}
	h, body, f := openPayload(d.payload[:size])
	if f != nil {
		return f
	}
	d.reading = Reading{
		Boot:    h.boot,
		Seq:     h.seq,
		HasSeq:  true,
		Tick:    h.tick,
		Overrun: h.flags&flagOverrun != 0,
		Clipped: h.flags&flagClipped != 0,
	}
	switch h.kind {
	case typeHello:
		return d.hello(body)
	case typeSamples:
		return d.samples(h, body)
	case typeSums:
		return d.sums(h, body)
	case typeSlow:
		return d.slow(h, body)
	case typeTurn:
		return d.turn(h, body)
	case typePong:
		return d.answer(body)
	case typePing:
		return d.question(body)
	default:
		return nil // a type of a later box: nothing to say, but its seq counts
	}
}

// put makes b the block of the reading.
func (d *binaryDecoder) put(b series.Block) {
	d.block[0] = b
	d.reading.Blocks = d.block[:]
}

// room checks that body holds h.n values of size bytes. That is never more than
// fit in a frame, because a longer payload was refused.
func room(h head, body []byte, size int) *flaw {
	if len(body) != int(h.n)*size {
		return flawf(BadLength, "%d bytes for n = %d of type %d", len(body), h.n, h.kind)
	}
	return nil
}

func (d *binaryDecoder) hello(body []byte) *flaw {
	source, err := parseHello(body)
	if err != nil {
		return &flaw{BadHello, err.Error()}
	}
	d.channels, d.arcless = len(source.Channels), !source.SamplesArc()
	d.reading.Source = source
	return nil
}

func (d *binaryDecoder) samples(h head, body []byte) *flaw {
	if f := room(h, body, sampleSize); f != nil {
		return f
	}
	if h.step == 0 && h.n > 1 {
		return flawf(BadValue, "no time between %d samples", h.n)
	}
	if f := d.measuresArc(); f != nil {
		return f
	}
	v, i := d.voltage[:h.n], d.current[:h.n]
	for k := range v {
		both := binary.LittleEndian.Uint32(body[sampleSize*k:])
		v[k] = int32(int16(both))
		i[k] = int32(both) >> 16
	}
	if h.n > 0 {
		d.put(series.Block{Kind: series.Arc, Tick: h.tick, Step: h.step, V: v, I: i})
	}
	return nil
}

// measuresArc refuses samples that nobody could turn into voltage and current.
func (d *binaryDecoder) measuresArc() *flaw {
	if d.arcless {
		return flawf(BadValue, "samples of a box whose first channels are not voltage and current")
	}
	return nil
}

func (d *binaryDecoder) slow(h head, body []byte) *flaw {
	if f := room(h, body, slowSize); f != nil {
		return f
	}
	if d.channels == 0 {
		return nil // no HELLO yet: nobody knows what these channels are
	}
	for k := range int(h.n) {
		b := body[slowSize*k:]
		channel := b[0]
		value := float64(math.Float32frombits(binary.LittleEndian.Uint32(b[1:])))
		if int(channel) >= d.channels {
			return flawf(BadValue, "channel %d of %d", channel, d.channels)
		}
		if math.IsNaN(value) || math.IsInf(value, 0) {
			return flawf(BadValue, "channel %d is %v", channel, value)
		}
		d.channel[k], d.value[k] = channel, value
	}
	if h.n > 0 {
		d.put(series.Block{Kind: series.Slow, Tick: h.tick, Step: h.step, Channel: d.channel[:h.n], Value: d.value[:h.n]})
	}
	return nil
}

func (d *binaryDecoder) turn(h head, body []byte) *flaw {
	if f := room(h, body, turnSize); f != nil {
		return f
	}
	for k := range int(h.n) {
		tickUS := binary.LittleEndian.Uint64(body[turnSize*k:])
		if tickUS > maxTickUS {
			return flawf(BadValue, "tick %d us of a turn pulse", tickUS)
		}
		d.tick[k] = int64(tickUS) * nsPerUS
	}
	for k := range int(h.n) {
		count := int32(binary.LittleEndian.Uint32(body[turnSize*k+8:]))
		d.count[k] = d.turns.unwrap(h.boot, count)
	}
	if h.n > 0 {
		d.put(series.Block{
			Kind: series.Turn, Tick: d.tick[0], Ticks: d.tick[:h.n], Count: d.count[:h.n], AtMark: h.flags&flagAtMark != 0,
		})
	}
	return nil
}

func (d *binaryDecoder) answer(body []byte) *flaw {
	if len(body) != pongSize {
		return flawf(BadLength, "%d bytes of a PONG", len(body))
	}
	tickUS := binary.LittleEndian.Uint64(body[4:])
	if tickUS > maxTickUS {
		return flawf(BadValue, "tick %d us of a PONG", tickUS)
	}
	d.pong = Pong{Nonce: binary.LittleEndian.Uint32(body), Tick: int64(tickUS) * nsPerUS}
	d.reading.Pong = &d.pong
	return nil
}

func (d *binaryDecoder) question(body []byte) *flaw {
	if len(body) != pingSize {
		return flawf(BadLength, "%d bytes of a PING", len(body))
	}
	d.ping = Ping{Nonce: binary.LittleEndian.Uint32(body)}
	d.reading.Ping = &d.ping
	return nil
}

// turnCounter carries a 32-bit count over its end, either way round.
type turnCounter struct {
	seen  bool
	boot  uint16
	last  int32
	total int64
}

func (c *turnCounter) unwrap(boot uint16, count int32) int64 {
	if c.seen && c.boot == boot {
		c.total += int64(count - c.last) // int32 arithmetic wraps as the box does
	} else {
		c.total = int64(count)
	}
	c.seen, c.boot, c.last = true, boot, count
	return c.total
}
