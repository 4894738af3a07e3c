package modbus

import (
	"fmt"
	"time"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// state is the block map as one poll found it.
type state struct {
	Block
	asked, answered time.Time
	missed          uint32 // polls just before
}

// blockMap turns what the polls of the block map find into windows.
//
// A state is believed once a later one bears it out, and what comes of it is handed on
// then, with the times of its own poll. The sums are cumulative, so a state that was
// never read, or not believed, costs nothing.
type blockMap struct {
	request Request
	source  series.Source

	base    *state // believed; the last window ends with it
	next    *state // waits for one that bears it out
	other   *state // cannot come after them: damage, or the box began anew
	seq     uint32 // of the next reading
	told    bool   // the source, of this box
	missed  uint32 // polls since the newest state
	windows windower

	reading link.Reading
	blocks  [2]series.Block
	channel [1]uint8
	value   [1]float64
}

// wireSpeedChannel is the place of the wire speed among the channels of the block map.
const wireSpeedChannel = 2

func newBlockMap(c Config) *blockMap {
	m := &blockMap{
		request: Request{Unit: c.Slave.Unit, Function: series.ReadInput, Count: BlockRegisters},
		source:  c.source(),
	}
	m.source.WirePerCount = c.Slave.WirePerCount
	m.source.Channels = []series.Channel{
		{Name: "voltage", Unit: "V", Scale: voltsPerCode, Basis: series.Average},
		{Name: "current", Unit: "A", Scale: amperesPerCode, Basis: series.Average},
		wireSpeedChannel: {Name: "wire_speed", Unit: "m/s", Scale: 1, Basis: series.Average},
	}
	return m
}

func (m *blockMap) description() series.Source { return m.source }

// settling implements mapping: a late answer is an older state, and says so by its tick.
func (m *blockMap) settling() time.Duration { return quiet }

// poll implements mapping.
func (m *blockMap) poll(ask asker, to acquire.Listener) error {
	x, err := ask(m.request)
	if err == nil {
		err = m.take(x, to)
	}
	if err != nil {
		m.missed++
	}
	return err
}

// take takes an answer.
func (m *blockMap) take(x exchange, to acquire.Listener) error {
	b, wrong := readBlock(x.registers)
	if wrong != 0 {
		return &Error{Kind: wrong, Request: m.request, Detail: detailOf(wrong, x.registers)}
	}
	s := &state{Block: b, asked: x.asked, answered: x.answered, missed: m.missed}
	m.missed = 0
	switch {
	case m.base == nil:
		m.base = s
		return nil
	case m.follows(s, to):
		return m.refute(nil)
	default:
		return m.doubt(s, to)
	}
}

// detailOf names the register that is wrong, where it is one.
func detailOf(wrong Kind, registers []byte) string {
	if wrong == NotTheMap && len(registers) >= 2 {
		return fmt.Sprintf("register 0 is 0x%02x%02x, not 0x%04x", registers[0], registers[1], Layout)
	}
	return ""
}

// follows takes a state that can come after those before it.
func (m *blockMap) follows(s *state, to acquire.Listener) bool {
	if m.next != nil {
		switch s.after(&m.next.Block) {
		case later:
			m.believe(to)
			m.next = s
			return true
		case same:
			m.believe(to)
			return true
		}
	}
	switch s.after(&m.base.Block) {
	case later: // also where next is the one that cannot be
		m.next = s
		if !m.told {
			m.say(to, m.base, nil)
		}
		return true
	case same:
		if m.next == nil {
			m.say(to, m.base, nil)
		}
		return true
	default:
		return false
	}
}

// doubt takes a state that cannot come after those before it: the first such one is kept
// aside, and a second that bears it out shows that the box began anew.
func (m *blockMap) doubt(s *state, to acquire.Listener) error {
	if m.other == nil || s.after(&m.other.Block) == strange {
		return m.refute(s)
	}
	m.finish(to)
	began := m.other
	*m = blockMap{request: m.request, source: m.source, base: began, next: s}
	m.say(to, began, nil)
	return nil
}

// refute keeps a state aside, or none, and returns what that says of the one that was.
func (m *blockMap) refute(s *state) error {
	was := m.other
	m.other = s
	if was == nil {
		return nil
	}
	return &Error{Kind: Unproved, Request: m.request, Detail: fmt.Sprintf("boot %d, sequence %d", was.Boot, was.Seq)}
}

// finish hands on the last window, which nothing can bear out any more.
func (m *blockMap) finish(to acquire.Listener) {
	if m.next != nil {
		m.believe(to)
	}
}

// believe hands on the window that ends with next.
func (m *blockMap) believe(to acquire.Listener) {
	from, until := m.base, m.next
	us := int64(until.TickUS - from.TickUS)
	if us > longestWindow {
		m.skip(to, from, until)
	} else {
		m.describe(difference(&from.Block, &until.Block).instantaneous(us))
		window := m.windows.window(&from.Block, &until.Block)
		m.say(to, until, &window)
		m.tellLong(to, us, &window.Sum)
	}
	m.base, m.next = until, nil
}

// describe takes the basis back as soon as a window has too few samples for true power.
func (m *blockMap) describe(instantaneous bool) {
	basis := series.Average
	if instantaneous && (!m.told || m.source.Channels[series.VoltageChannel].Basis == series.Instantaneous) {
		basis = series.Instantaneous
	}
	if basis == m.source.Channels[series.VoltageChannel].Basis {
		return
	}
	channels := append([]series.Channel(nil), m.source.Channels...)
	channels[series.VoltageChannel].Basis, channels[series.CurrentChannel].Basis = basis, basis
	m.source.Channels = channels
}

// skip leaves a time out for which nobody knows what the arc did.
func (m *blockMap) skip(to acquire.Listener, from, until *state) {
	m.windows = windower{}
	m.seq += max(1, until.missed) // the account sees a gap by it
	m.say(to, until, nil)
	d := difference(&from.Block, &until.Block)
	to.Line(remark(fmt.Sprintf("no answer for %.1f s: the %.3f kJ that the box counted meanwhile are in no pass",
		float64(until.TickUS-from.TickUS)/1e6, float64(d.mJ)/1e6)))
}

// longWindow is from how many us on a window that is partly in arc is worth a word: for
// half a second means are judged. Ours, no source.
const longWindow = 500_000

// tellLong says of a long window that nobody knows when in it the arc burned.
func (m *blockMap) tellLong(to acquire.Listener, us int64, s *series.WindowSums) {
	if us < longWindow || s.ArcOn == 0 || s.ArcOn == s.Count {
		return
	}
	to.Line(remark(fmt.Sprintf("one window of %.2f s, with %.2f s of arc in it: its energy is that which the box counted, but when in it the arc burned is not known",
		float64(us)/1e6, float64(s.ArcOn)/1e6)))
}

func remark(text string) series.Event {
	return series.Event{Kind: series.Remark, Count: 1, Text: text}
}

// say hands on a reading of a state, and the window that ends with it, if any.
func (m *blockMap) say(to acquire.Listener, s *state, window *series.Block) {
	r := &m.reading
	*r = link.Reading{
		Boot: s.Boot, Seq: m.seq, HasSeq: true, Tick: int64(s.TickUS) * stepNs, Asked: s.asked,
		Overrun: s.Status&StatusOverrun != 0, Clipped: s.Status&StatusClipped != 0,
		Blocks: m.blocks[:0],
	}
	m.seq++
	if window != nil {
		r.Source = new(m.source)
		m.told = true
		r.Blocks = append(r.Blocks, *window)
		if v := float64(s.WireSpeed); v >= 0 && v < fastestWire {
			m.channel[0], m.value[0] = wireSpeedChannel, v
			r.Blocks = append(r.Blocks, series.Block{Kind: series.Slow, Tick: r.Tick, Channel: m.channel[:], Value: m.value[:]})
		}
	}
	to.Heard(s.answered, r, nil)
}

// fastestWire is a speed of the wire, in m/s, that none has. Ours, no source.
const fastestWire = 10
