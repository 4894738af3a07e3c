package link

import "encoding/binary"

// COBS (Cheshire & Baker 1999): a code byte c stands before c-1 bytes that are
// not zero; a zero follows them, unless c is 255 or the data end there.
const (
	fullCode = 0xFF         // 254 bytes, and no zero behind them
	fullRun  = fullCode - 1 // bytes
	wordSize = 8            // bytes that are moved at once
)

// decodeCOBS writes the data of run to dst, which must be as long as run, and
// returns their length. A run that ends with 254 bytes may have a last code 01
// behind them or not: both are legal, and give the same data. It reports false
// where a code points behind the end of run, or is zero.
func decodeCOBS(dst, run []byte) (int, bool) {
	out := 0
	for in := 0; in < len(run); {
		code := int(run[in])
		if code == 0 || code > len(run)-in {
			return 0, false
		}
		// Where the codes are small every other byte is zero. A whole word is then
		// moved faster than the few bytes that count; the next ones overwrite the rest.
		// It has room: dst is as long as run, and out is never ahead of in.
		if data := run[in+1:]; code <= wordSize && len(data) >= wordSize {
			binary.NativeEndian.PutUint64(dst[out:], binary.NativeEndian.Uint64(data))
		} else {
			copy(dst[out:], data[:code-1])
		}
		out += code - 1
		in += code
		if code != fullCode && in < len(run) {
			dst[out] = 0
			out++
		}
	}
	return out, true
}

// stuff turns the data in buf[from:] into a COBS run in buf[to:] and returns
// that much of buf. It works in place, which takes as many bytes between to and
// from as there can be codes: one, and one more for each 254 bytes.
func stuff(buf []byte, to, from int) []byte {
	code, out := to, to+1
	for k := from; k < len(buf); k++ {
		b := buf[k]
		if out-code > fullRun {
			buf[code] = fullCode
			code = out
			out++
		}
		if b != 0 {
			buf[out] = b
		} else {
			buf[code] = byte(out - code)
			code = out
		}
		out++
	}
	buf[code] = byte(out - code)
	return buf[:out]
}
