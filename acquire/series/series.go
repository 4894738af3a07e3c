// Package series knows what a source of measurements says, before anybody
// judges it: who it is (Source, Channel), what it measured (Block: raw codes
// and device ticks), what happened on the way (Event), and who takes it (Sink).
//
// Terms. A tick is a time in nanoseconds on the clock of the source. An epoch
// is a stretch of ticks with one origin: a reboot of the box, or a clock that
// was set back, begins the next one, and ticks of two epochs are never
// subtracted. A code is the integer that was measured; its value in the unit of
// the channel is
//
//	value = code*scale + offset
//
// Nothing here does I/O.
package series

import (
	"reflect"
	"slices"
)

// Basis tells what one value of a channel stands for.
type Basis uint8

// The bases of a value.
const (
	BasisUnknown  Basis = iota
	Instantaneous       // sampled at the tick
	Average             // a mean over the time since the value before it
)

// String returns the word used in records and reports.
func (b Basis) String() string {
	switch b {
	case Instantaneous:
		return "instantaneous"
	case Average:
		return "average"
	default:
		return "unknown"
	}
}

// BasisOf reads what String wrote; a word that is not known proves nothing.
func BasisOf(word string) Basis {
	for _, b := range []Basis{Instantaneous, Average} {
		if word == b.String() {
			return b
		}
	}
	return BasisUnknown
}

// Channel describes one measured quantity of a source.
type Channel struct {
	Name   string  // voltage, current, wire_speed, gas_flow, temperature, wire_length, ...
	Unit   string  // V, A, m/s, L/min, degC, m
	Scale  float64 // value = code*Scale + Offset, in Unit
	Offset float64
	Bits   int // resolution of the converter; 0 is unknown
	Basis  Basis
	// Bandwidth is that of what measures it, in Hz at -3 dB; 0 is unknown.
	Bandwidth float64
	// Tap is where a voltage is taken: torch, feeder, source; empty is unknown.
	Tap string
	// Box is whose channel it is, where those of several boxes are listed as one's.
	Box int
	// Owner is the identity of that box; empty is the source itself.
	Owner string
}

// Stated is a number that a source may say of itself; the zero value is unknown.
type Stated struct {
	Value float64
	Known bool
}

// StatedBy is what a key says that may be missing: nil is unknown.
func StatedBy(x *float64) Stated {
	if x == nil {
		return Stated{}
	}
	return Stated{Value: *x, Known: true}
}

// Key is the reverse of StatedBy.
func (s Stated) Key() *float64 {
	if !s.Known {
		return nil
	}
	return &s.Value
}

// Indexes of the two channels that every source has.
const (
	VoltageChannel = 0
	CurrentChannel = 1
)

// Source describes what a sensor box, or a capture, says of itself.
type Source struct {
	// Box is the place of the source among those of a job, from 0, which is the one
	// that tells the arc. An epoch belongs to one box.
	Box int
	// Port is the lasting name of the port on which it speaks; empty is not known.
	Port        string
	Name        string
	Serial      string
	Firmware    string
	Calibration string // free text of the box: date, certificate
	Link        string // binary, delimited, lineprotocol, columns, modbus, capture
	// Unprotected is set where the link has neither sequence number nor checksum.
	Unprotected bool
	// Assumed is set while no description has come and defaults stand in for it.
	Assumed bool
	// Contested is set while another box that speaks says the same serial.
	Contested bool
	// CountsPerTurn is the number of turn counts in one revolution of the torch; 0 is none fitted.
	CountsPerTurn float64
	// TurnBox is whose turn counts are used, where those of several boxes are one's.
	TurnBox int
	// WirePerCount is the wire fed per count, in m; 0 is none fitted.
	WirePerCount float64
	// Skew is how much later current is sampled than voltage, in us.
	Skew Stated
	// SkewAlternates is set where the order of the two changes with every sample.
	SkewAlternates bool
	// ClockDeviation is how far the clock may be off its rate, in parts per million.
	ClockDeviation Stated
	// Refresh is the time in ns for which a source repeats a value before it
	// measures anew, where that is longer than its sample interval; 0 is not so.
	Refresh int64
	// HeldAfter is the time in ns that voltage and current must both stand
	// still, to the last digit, to be taken for held; 0 turns the check off.
	HeldAfter int64
	// MayBeHeldAfter is the time in ns after which they stand still for longer than
	// chance makes them, though a steady arc may do so too; 0 turns the check off.
	MayBeHeldAfter int64
	// HeldArc is the time in ns from the beginning of a held standstill that
	// still counts as arc, because the arc went out some time after the value was
	// fresh: the refresh interval where its clock runs on while the arc is out,
	// as the next arc is then seen late by as much on average; half of it where
	// the next arc begins a new interval.
	HeldArc int64
	// MaxStep is the longest time in ns between two samples that still follow
	// one another; a longer one is a gap. 0: one and a half steps of the block.
	MaxStep  int64
	Channels []Channel // 0 is voltage, 1 is current
}

// Equal reports whether two sources say the same of themselves.
func (s Source) Equal(other Source) bool {
	mine, others := s, other
	mine.Channels, others.Channels = nil, nil
	return reflect.DeepEqual(mine, others) && slices.Equal(s.Channels, other.Channels)
}

// SamplesArc reports whether its first two channels are voltage and current, as those
// of a box are that can tell the arc.
func (s Source) SamplesArc() bool {
	return len(s.Channels) > CurrentChannel && s.Channels[VoltageChannel].Name == "voltage" && s.Channels[CurrentChannel].Name == "current"
}

// Kind tells which fields of a Block are in use.
type Kind uint8

// The kinds of block.
const (
	Arc  Kind = iota + 1 // V and I, sampled together; Flag where the source has an arc flag
	Sums                 // Sum: one window of sums of products
	Slow                 // Channel and Value: single values of any other channel
	Turn                 // Count: cumulative counts of the torch rotation
)

// Block is a run of samples of one kind, in the order in which they were
// measured. Sample k stands at At(k). All slices in use have the same length.
//
// A block that a decoder or reader hands out may be reused by it afterwards:
// whoever keeps one, copies it.
type Block struct {
	Kind  Kind
	Box   int // whose it is, as in Source
	Epoch int
	// Break is set where the first sample does not follow the one before it:
	// something was lost between them, so no energy may join them.
	Break bool
	Tick  int64   // ns, of the first sample
	Step  int64   // ns between samples; used where Ticks is nil
	Ticks []int64 // ns, of each sample, where they are not equally spaced

	V, I []int32 // Arc: codes
	Flag []bool  // Arc: the source's own arc flag; nil where it has none

	Sum WindowSums // Sums: one window, Len is 1

	Channel []uint8   // Slow: index in Source.Channels
	Value   []float64 // Slow: value in the channel's unit

	Count []int64 // Turn: cumulative, falling where the torch turns back
	// AtMark is set where the last of Count stands at the reference mark.
	AtMark bool
}

// WindowSums holds what a box summed over [Tick, Tick+Count*Step): sums of
// codes over all its samples, so that the mean power is a true one.
type WindowSums struct {
	Count      uint32
	V, I, VI   int64
	VMin, VMax int16 // the least above the most: not known
	IMin, IMax int16
	ArcOn      uint32 // samples in arc
	WireCount  uint32 // wire counts in the window
	Dropped    uint32 // samples that the box could not take
}

// Extremes returns the least and the most code of voltage or current, by the index of
// its channel. Where the box does not say them, both are the mean, which lies between.
func (w *WindowSums) Extremes(channel int) (low, high float64) {
	least, most, sum := w.VMin, w.VMax, w.V
	if channel == CurrentChannel {
		least, most, sum = w.IMin, w.IMax, w.I
	}
	if least <= most {
		return float64(least), float64(most)
	}
	if w.Count == 0 {
		return 0, 0
	}
	mean := float64(sum) / float64(w.Count)
	return mean, mean
}

// Len returns the number of samples.
func (b *Block) Len() int {
	switch b.Kind {
	case Arc:
		return len(b.V)
	case Sums:
		return 1
	case Slow:
		return len(b.Value)
	case Turn:
		return len(b.Count)
	default:
		return 0
	}
}

// End returns the tick of the last sample in ns, of a window of sums its end. There is
// at least one.
func (b *Block) End() int64 {
	if b.Kind == Sums {
		return b.Tick + int64(b.Sum.Count)*b.Step
	}
	return b.At(b.Len() - 1)
}

// At returns the tick of sample k in ns.
func (b *Block) At(k int) int64 {
	if b.Ticks != nil {
		return b.Ticks[k]
	}
	return b.Tick + int64(k)*b.Step
}

// CopyFrom makes b a copy of another block, in its own memory where that is
// large enough.
func (b *Block) CopyFrom(other *Block) {
	own := *b
	*b = *other
	b.Ticks = again(own.Ticks, other.Ticks)
	b.V, b.I = again(own.V, other.V), again(own.I, other.I)
	b.Flag = again(own.Flag, other.Flag)
	b.Channel, b.Value = again(own.Channel, other.Channel), again(own.Value, other.Value)
	b.Count = again(own.Count, other.Count)
}

// again copies into a slice that has been used; nil stays nil, since it says
// that a field is not in use.
func again[T any](used, from []T) []T {
	if from == nil {
		return nil
	}
	return append(used[:0], from...)
}

// EventKind names what an event is about; the words stand in records.
type EventKind string

// The kinds of event.
const (
	Gap        EventKind = "gap"         // samples are missing from Tick to Until
	Reboot     EventKind = "reboot"      // the source began a new epoch
	ClockBack  EventKind = "clock-back"  // time stamps stepped backwards, Count of them
	Clipped    EventKind = "clipped"     // a channel stood at its end stop
	Overrun    EventKind = "overrun"     // the box lost samples before it sent them
	Damaged    EventKind = "damaged"     // Count frames or lines failed their check
	Unreadable EventKind = "unreadable"  // Count rows of a capture could not be read
	Unplugged  EventKind = "unplugged"   // the port went away
	Replugged  EventKind = "replugged"   // and came back
	Resumed    EventKind = "resumed"     // the record was opened again to go on
	Remark     EventKind = "remark"      // a word to keep: what was assumed, what a person noted
	Index      EventKind = "index"       // the torch stood at the reference mark, where Count begins
	AnotherBox EventKind = "box"         // another box speaks than before
	SameSerial EventKind = "serial"      // two boxes that speak say one serial, or no longer do
	CountsAnew EventKind = "counts-anew" // the counter of the turns began anew on one clock, and the counts go on as if the torch had stood; in no record
	Companion  EventKind = "companion"   // something of a box that does not tell the arc; in no record
	Offset     EventKind = "offset"      // round trips bound the host times of a clock to +-Count ns (k = 2), from Tick on
	ClockRate  EventKind = "clock-rate"  // the clock runs Count parts per million fast by the host's; below 0 slow
	Silent     EventKind = "silent"      // nothing was heard of a box for some time
	Failed     EventKind = "failed"      // the line of a box cannot be read, or brings nothing that its link allows
	ArcTold    EventKind = "arc-told"    // from here on another box tells the arc
	Heard      EventKind = "heard"       // a box is heard after Silent or Failed
)

// Event is something that happened to the measurement itself.
type Event struct {
	Kind  EventKind
	Box   int // whose it is, as in Source
	Epoch int
	Tick  int64 // ns, where it began
	Until int64 // ns, where it ended; equal to Tick for a moment
	Count int64
	Text  string // one sentence for a person
}
