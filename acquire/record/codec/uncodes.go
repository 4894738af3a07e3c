package codec

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"
)

// Codes appends the codes of a column to dst.
func (c Column) Codes(dst []int32) ([]int32, error) {
	switch c.how {
	case Delta16:
		return c.delta(dst, 2)
	case Delta32:
		return c.delta(dst, 4)
	case Codes:
	default:
		return dst, fmt.Errorf("%w: codec %d does not hold codes", ErrPayload, c.how)
	}
	if len(c.raw) < codesHead+c.n {
		return dst, fmt.Errorf("%w: %d bytes are less than %d codes need", ErrPayload, len(c.raw), c.n)
	}
	h := c.raw
	s := shape{h[0], h[1], h[2], int32(binary.LittleEndian.Uint32(h[3:]))}
	if s.order > 2 || s.size != 2 && s.size != 4 || s.form > planes {
		return dst, fmt.Errorf("%w: codes of order %d in %d bytes", ErrPayload, s.order, s.size)
	}
	low, rest := h[codesHead:codesHead+c.n], h[codesHead+c.n:]
	n, m, each := c.n, int(binary.LittleEndian.Uint32(h[7:])), int(s.size)
	whole := 0
	if s.form == few {
		whole = bytes.Count(low, []byte{beyond})
	}
	if m != whole {
		return dst, fmt.Errorf("%w: %d codes stand elsewhere, and not %d", ErrPayload, whole, m)
	}
	if s.form == planes {
		m, each = n, each-1
	}
	if len(rest) != m*each {
		return dst, fmt.Errorf("%w: %d bytes behind codes, and not %d", ErrPayload, len(rest), m*each)
	}
	from := len(dst)
	dst = slices.Grow(dst, n)[:from+n]
	if s.form == few && s.size == 2 {
		s.addFew(dst[from:], low, rest[:m], rest[m:])
	} else {
		s.add(dst[from:], low, rest)
	}
	return dst, nil
}

// small are the numbers that a byte holds.
var small = func() (all [beyond + 1]int32) {
	for z := range all {
		all[z] = unzigzag(uint32(z))
	}
	return all
}()

// addFew makes codes of 16 bits of lowest bytes and, where those do not hold the number,
// of its two bytes elsewhere. Nearly all codes come this way.
func (s *shape) addFew(out []int32, low, first, second []byte) {
	code, step, at := s.base, int32(0), 0
	out = out[:len(low)]
	second = second[:len(first)]
	elsewhere := func() int32 {
		at++
		return unzigzag(uint32(first[at-1]) | uint32(second[at-1])<<8)
	}
	switch s.order {
	case 0:
		for k, b := range low {
			x := small[b]
			if b == beyond {
				x = elsewhere()
			}
			out[k] = int32(int16(code + x))
		}
	case 1:
		for k, b := range low {
			x := small[b]
			if b == beyond {
				x = elsewhere()
			}
			code += x
			out[k] = int32(int16(code))
		}
	default:
		for k, b := range low {
			x := small[b]
			if b == beyond {
				x = elsewhere()
			}
			step += x
			code += step
			out[k] = int32(int16(code))
		}
	}
}

// add makes codes of any size and form: first numbers, then codes.
func (s *shape) add(out []int32, low, rest []byte) {
	for k, b := range low {
		out[k] = int32(b)
	}
	if s.form == planes {
		for plane := 1; len(rest) > 0; plane++ {
			for k, b := range rest[:len(out)] {
				out[k] |= int32(uint32(b) << (8 * plane))
			}
			rest = rest[len(out):]
		}
	} else {
		whole(out, low, rest, int(s.size))
	}
	spare := (32 - 8*uint(s.size)) & 31
	code, step := s.base, int32(0)
	for k, z := range out {
		x := unzigzag(uint32(z))
		switch s.order {
		case 0:
			out[k] = (code + x) << spare >> spare
			continue
		case 1:
			step = x
		default:
			step += x
		}
		code += step
		out[k] = code << spare >> spare
	}
}

// whole puts the numbers that a lowest byte does not hold where they belong.
func whole(out []int32, low, rest []byte, size int) {
	at, m := 0, len(rest)/size
	for k, b := range low {
		if b != beyond {
			continue
		}
		z := uint32(0)
		for plane := range size {
			z |= uint32(rest[plane*m+at]) << (8 * plane)
		}
		out[k] = int32(z)
		at++
	}
}
