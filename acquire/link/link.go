// Package link knows the wire formats of a sensor box: bytes to readings and
// back. FORMAT.md beside this file shows one of each.
//
// Terms. A frame is COBS(payload) and a zero byte on the binary link; a line
// ends with LF on the two text links, delimited and line protocol. A run is what
// stands between two delimiters, before anybody knows whether it is a frame. A
// boot is one stretch of a box's clock, from its start to the next one; seq
// counts its frames or lines, and tick its microseconds. A plain meter, link columns,
// has none of these: only its lines, split on LF or CR.
//
// All links carry one meaning, and end in the same series.Block. Text is
// turned into integer codes by its decimal digits, without a detour over binary
// fractions:
//
//	code = value/scale, scale 1e-6 V and 1e-5 A
//
// Errors: a run that cannot be trusted is an *Error with its kind, its place in
// the stream and the number of bytes lost with it; decoding goes on behind the
// next delimiter. A reading is never handed out before its checksum has been
// found right, where its link has one. Only a caller's bug panics.
package link

import (
	"fmt"
	"time"

	"arctally/acquire/series"
)

// The links a box may speak, as the job file names them.
const (
	Binary       = "binary"
	Delimited    = "delimited"
	LineProtocol = "lineprotocol"
	// Modbus is polled, and has no stream to decode: package modbus speaks it.
	Modbus = "modbus"
)

// Reading is what one frame or line says. It and everything in it are reused by
// the next call of Decode, and may be by the next reading of the same call.
type Reading struct {
	Boot    uint16
	Seq     uint32
	HasSeq  bool  // false: the link cannot show a loss
	Tick    int64 // ns on the clock of the box; of a plain meter, since its first byte arrived
	Overrun bool  // the box lost samples before this frame
	Clipped bool  // a channel stood at its end stop
	// Source is what the box says of itself; set by a HELLO only, and then new.
	Source *series.Source
	// Pong is the answer to a PING; set by a PONG only.
	Pong *Pong
	// Ping is what a host asks; set by a PING only, which no box sends: it is heard by a
	// box, or where a line echoes.
	Ping *Ping
	// Asked is the host time at which that was sent which the reading answers, filled in
	// by who asked; the zero time where it came by itself.
	Asked time.Time
	// Blocks holds what was measured, with Epoch and Break left at zero: they
	// need the readings before this one. It is empty where a frame has nothing
	// that is known here: its seq counts all the same.
	Blocks []series.Block
}

// Pong says when a PING came to its end at the box.
type Pong struct {
	Nonce uint32 // as in the PING
	Tick  int64  // ns on the clock of the box
}

// Ping asks a box for its clock.
type Ping struct{ Nonce uint32 }

// Decoder turns a stream of bytes into readings. Use one for each stream; it
// keeps the part of a frame that has come so far.
type Decoder interface {
	// Decode takes the next bytes of the stream, cut anywhere, and calls yield
	// for every frame that ends in them: with a reading, or with an *Error.
	Decode(p []byte, yield func(*Reading, error))
}

// New returns a decoder for the named link, or an error that says which there are.
func New(link string) (Decoder, error) {
	switch link {
	case Binary:
		return newBinaryDecoder(), nil
	case Delimited:
		return newDelimitedDecoder(), nil
	case LineProtocol:
		return newLineProtocolDecoder(), nil
	case Columns:
		return nil, fmt.Errorf("link %s is that of a plain meter: say which column of its lines means what", Columns)
	default:
		return nil, fmt.Errorf("link %q is not known: use %s, %s, %s or %s", link, Binary, Delimited, LineProtocol, Columns)
	}
}

// Scales that hold where no HELLO gives others, in V and A per code.
const (
	defaultVoltsPerCode   = 10e-3
	defaultAmperesPerCode = 0.1
	textVoltsPerCode      = 1e-6
	textAmperesPerCode    = 1e-5
)

// DefaultSource returns what is taken for the source of the named link before it
// has described itself. On the binary link that is an assumption, and marked as
// one; the text links have no HELLO, and their format fixes scales and basis.
// It panics where New would return an error.
func DefaultSource(link string) series.Source {
	switch link {
	case Binary:
		return series.Source{Link: link, Assumed: true, Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: defaultVoltsPerCode},
			{Name: "current", Unit: "A", Scale: defaultAmperesPerCode},
		}}
	case Delimited, LineProtocol:
		return series.Source{Link: link, Channels: []series.Channel{
			{Name: "voltage", Unit: "V", Scale: textVoltsPerCode, Basis: series.Average},
			{Name: "current", Unit: "A", Scale: textAmperesPerCode, Basis: series.Average},
			{Name: "wire_speed", Unit: "m/s", Scale: 1, Basis: series.Average},
		}}
	default:
		panic(fmt.Sprintf("link: no default source for link %q", link))
	}
}
