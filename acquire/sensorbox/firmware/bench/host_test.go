package bench_test

import (
	"encoding/binary"
	"hash/crc32"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
	"arctally/acquire/sensorbox/firmware/bench"
)

// pingFrame is a PING by hand, as FORMAT.md has it.
func pingFrame(version byte, nonce, spoilt uint32) []byte {
	payload := make([]byte, 20, 28)
	payload[0], payload[1] = version, 128
	payload = binary.LittleEndian.AppendUint32(payload, nonce)
	payload = binary.LittleEndian.AppendUint32(payload, crc32.Checksum(payload, crc32.MakeTable(crc32.Castagnoli))^spoilt)
	frame, code := []byte{0}, 0
	for _, b := range append(payload, 0) {
		if b != 0 {
			frame = append(frame, b)
			continue
		}
		frame[code] = byte(len(frame) - code)
		code = len(frame)
		frame = append(frame, 0)
	}
	return frame // its last byte is the delimiter
}

// A PING is answered with the tick at which it ended; what is none is left alone, and
// harms none that follows.
func TestPing(t *testing.T) {
	noise := make([]byte, 301)
	for k := range noise[:300] {
		noise[k] = byte(k%255 + 1)
	}
	jumps := append(make([]byte, 0, 30), 0xff)
	for len(jumps) < 29 {
		jumps = append(jumps, 0xf0)
	}
	said := slices.Concat(pingFrame(1, 0xdeadbeef, 0), []byte{7, 0}, noise, pingFrame(1, 1, 0), pingFrame(1, 2, 1), append(jumps, 0),
		pingFrame(2, 3, 0), []byte{0, 0, 0}, pingFrame(1, 0, 0))
	r := record(t, bench.Script{Hex: bench.Build(t), Arc: bench.Silence(0.1), Until: 0.7e6}, said...)
	r.whole(t)
	var nonces []uint32
	start := r.seen.Zeros[0] / 1e6
	r.readings(t, func(reading *link.Reading) {
		if reading.Pong == nil {
			return
		}
		nonces = append(nonces, reading.Pong.Nonce)
		nearest := 1.0
		for _, end := range r.seen.PingEnds {
			nearest = min(nearest, math.Abs(end/1e6-start-float64(reading.Pong.Tick)/1e9))
		}
		assert.Less(t, nearest, tickTolerance)
	})
	require.Equal(t, []uint32{0xdeadbeef, 1, 0}, nonces)
}
