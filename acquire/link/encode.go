package link

import (
	"encoding/binary"
	"fmt"
	"math"

	"arctally/acquire/series"
)

// AppendSamples appends a frame of voltage and current codes that were sampled
// together. It panics where they differ in number or are over MaxSamples.
func AppendSamples(dst []byte, h Header, v, i []int16) []byte {
	checkCount("samples", len(v), len(i), MaxSamples)
	start := len(dst)
	dst = beginFrame(dst, typeSamples, uint8(len(v)), h)
	for k := range v {
		dst = binary.LittleEndian.AppendUint16(dst, uint16(v[k]))
		dst = binary.LittleEndian.AppendUint16(dst, uint16(i[k]))
	}
	return endFrame(dst, start)
}

// AppendSums appends a frame of sums over the window that begins at h.TickUS and
// has s.Count samples h.StepUS apart.
func AppendSums(dst []byte, h Header, s series.WindowSums) []byte {
	start := len(dst)
	dst = beginFrame(dst, typeSums, 1, h)
	dst = appendSumsBody(dst, s)
	return endFrame(dst, start)
}

// AppendSlow appends a frame of single values, each in the unit of its channel.
// They travel as 4-byte floats. It panics where channels and values differ in
// number, are over MaxSlow, or a value is not finite: leave out what is unknown.
func AppendSlow(dst []byte, h Header, channel []uint8, value []float64) []byte {
	checkCount("slow values", len(channel), len(value), MaxSlow)
	start := len(dst)
	dst = beginFrame(dst, typeSlow, uint8(len(channel)), h)
	for k, v := range value {
		if math.IsNaN(v) || math.Abs(v) > math.MaxFloat32 {
			panic(fmt.Sprintf("link: value %v of channel %d cannot be sent", v, channel[k]))
		}
		dst = append(dst, channel[k])
		dst = binary.LittleEndian.AppendUint32(dst, math.Float32bits(float32(v)))
	}
	return endFrame(dst, start)
}

// AppendTurn appends a frame of turn pulses: the tick of each and the cumulative
// count at it. It panics where they differ in number or are over MaxTurns.
func AppendTurn(dst []byte, h Header, tickUS []uint64, count []int32) []byte {
	checkCount("turn pulses", len(tickUS), len(count), MaxTurns)
	start := len(dst)
	dst = beginFrame(dst, typeTurn, uint8(len(tickUS)), h)
	for k := range tickUS {
		checkTick(tickUS[k])
		dst = binary.LittleEndian.AppendUint64(dst, tickUS[k])
		dst = binary.LittleEndian.AppendUint32(dst, uint32(count[k]))
	}
	return endFrame(dst, start)
}

// AppendHello appends a frame in which the box describes itself. It returns an
// error where the description could not be used, or does not fit in a frame.
func AppendHello(dst []byte, h Header, s series.Source) ([]byte, error) {
	body, err := formatHello(s)
	if err != nil {
		return dst, err
	}
	start := len(dst)
	dst = beginFrame(dst, typeHello, 1, h)
	return endFrame(append(dst, body...), start), nil
}

// AppendPing appends the frame by which a host asks a box for its clock.
func AppendPing(dst []byte, seq uint32, p Ping) []byte {
	start := len(dst)
	dst = beginFrame(dst, typePing, 1, Header{Seq: seq})
	return endFrame(binary.LittleEndian.AppendUint32(dst, p.Nonce), start)
}

// checkTick panics on a tick that no decoder would take.
func checkTick(us uint64) {
	if us > maxTickUS {
		panic(fmt.Sprintf("link: tick %d us is out of range", us))
	}
}

func checkCount(what string, a, b, limit int) {
	if a != b || a > limit {
		panic(fmt.Sprintf("link: %d and %d %s in one frame; it takes equal numbers up to %d", a, b, what, limit))
	}
}
