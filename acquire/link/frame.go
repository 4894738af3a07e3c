package link

import (
	"encoding/binary"
	"hash/crc32"
	"slices"
)

// Sizes of the binary link, in bytes.
const (
	headerSize   = 20
	checksumSize = 4
	maxPayload   = 512
	maxBody      = maxPayload - headerSize - checksumSize
	// maxCodes is how many COBS codes a payload can need before an optional last
	// 01: one, and one more for each 254 bytes.
	maxCodes = 1 + maxPayload/fullRun
	maxRun   = maxPayload + maxCodes

	sampleSize = 4
	sumsSize   = 48
	slowSize   = 5
	turnSize   = 12
	pongSize   = 12
	pingSize   = 4
)

// The most values that fit in one frame.
const (
	MaxSamples = maxBody / sampleSize
	MaxSlow    = maxBody / slowSize
	MaxTurns   = maxBody / turnSize
)

const version = 1

// The types of frame.
const (
	typeHello   = 1
	typeSamples = 2
	typeSums    = 3
	typeSlow    = 4
	typeTurn    = 5
	typePong    = 6
	typePing    = 128 // from the host to the box
)

// Bits of the flags byte.
const (
	flagOverrun = 1 << iota
	flagClipped
	flagAtMark // of TURN only
)

// maxTickUS keeps every tick, in ns, far inside an int64; it is 285 years.
const maxTickUS = 1 << 53

const nsPerUS = 1000

// castagnoli is the polynomial of CRC-32C, which processors compute themselves.
var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// Header is what the head of a frame says besides its type and length.
type Header struct {
	Boot    uint16
	Seq     uint32
	TickUS  uint64 // of the first sample, in us
	StepUS  uint16 // between two samples, in us
	Overrun bool   // samples were lost inside the box since the last frame
	Clipped bool   // a channel was at its end stop
	AtMark  bool   // of turn pulses: the last one stands at the reference mark
}

// beginFrame appends the header of a frame, and the gap before it into which
// endFrame stuffs: no second buffer, no allocation.
func beginFrame(dst []byte, kind, n uint8, h Header) []byte {
	checkTick(h.TickUS)
	var flags uint8
	if h.Overrun {
		flags |= flagOverrun
	}
	if h.Clipped {
		flags |= flagClipped
	}
	if h.AtMark {
		flags |= flagAtMark
	}
	dst = slices.Grow(dst, maxRun+1)
	dst = dst[:len(dst)+maxCodes]
	dst = append(dst, version, kind)
	dst = binary.LittleEndian.AppendUint16(dst, h.Boot)
	dst = binary.LittleEndian.AppendUint32(dst, h.Seq)
	dst = binary.LittleEndian.AppendUint64(dst, h.TickUS)
	dst = binary.LittleEndian.AppendUint16(dst, h.StepUS)
	return append(dst, n, flags)
}

// endFrame appends the checksum to the payload begun at len start and turns it
// into a frame.
func endFrame(dst []byte, start int) []byte {
	payload := start + maxCodes
	dst = binary.LittleEndian.AppendUint32(dst, crc32.Checksum(dst[payload:], castagnoli))
	return append(stuff(dst, start, payload), 0)
}

// head is the fixed part of a payload, as received.
type head struct {
	kind, n uint8
	boot    uint16
	seq     uint32
	tick    int64 // ns
	step    int64 // ns
	flags   uint8
}

// openPayload checks a payload and takes it apart.
func openPayload(payload []byte) (h head, body []byte, f *flaw) {
	if len(payload) < headerSize+checksumSize {
		return h, nil, &flaw{kind: TooShort}
	}
	end := len(payload) - checksumSize
	if crc32.Checksum(payload[:end], castagnoli) != binary.LittleEndian.Uint32(payload[end:]) {
		return h, nil, &flaw{kind: BadChecksum}
	}
	if payload[0] != version {
		return h, nil, flawf(BadVersion, "%d", payload[0])
	}
	tickUS := binary.LittleEndian.Uint64(payload[8:])
	if tickUS > maxTickUS {
		return h, nil, flawf(BadValue, "tick %d us", tickUS)
	}
	return head{
		kind:  payload[1],
		boot:  binary.LittleEndian.Uint16(payload[2:]),
		seq:   binary.LittleEndian.Uint32(payload[4:]),
		tick:  int64(tickUS) * nsPerUS,
		step:  int64(binary.LittleEndian.Uint16(payload[16:])) * nsPerUS,
		n:     payload[18],
		flags: payload[19],
	}, payload[headerSize:end], nil
}
