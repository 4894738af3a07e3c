package codec

import (
	"encoding/binary"
	"math/bits"
)

// The primes of XXH64, the checksum of a zstd frame. Source: the specification of xxHash.
const (
	prime1 = 0x9e3779b185ebca87
	prime2 = 0xc2b2ae3d27d4eb4f
	prime3 = 0x165667b19e3779f9
	prime4 = 0x85ebca77c2b2ae63
	prime5 = 0x27d4eb2f165667c5
)

// checksum returns XXH64 of some bytes, with the seed 0.
func checksum(b []byte) uint64 {
	n := uint64(len(b))
	h := uint64(prime5)
	if len(b) >= 32 {
		h, b = stripes(b)
	}
	h += n
	for ; len(b) >= 8; b = b[8:] {
		h = bits.RotateLeft64(h^round(0, binary.LittleEndian.Uint64(b)), 27)*prime1 + prime4
	}
	if len(b) >= 4 {
		h = bits.RotateLeft64(h^uint64(binary.LittleEndian.Uint32(b))*prime1, 23)*prime2 + prime3
		b = b[4:]
	}
	for _, c := range b {
		h = bits.RotateLeft64(h^uint64(c)*prime5, 11) * prime1
	}
	h = (h ^ h>>33) * prime2
	h = (h ^ h>>29) * prime3
	return h ^ h>>32
}

// stripes takes as many times 32 bytes as there are, in four lanes, and returns the rest.
func stripes(b []byte) (uint64, []byte) {
	p := uint64(prime1)
	v := [4]uint64{p + prime2, prime2, 0, -p}
	for ; len(b) >= 32; b = b[32:] {
		for k := range v {
			v[k] = round(v[k], binary.LittleEndian.Uint64(b[8*k:]))
		}
	}
	h := bits.RotateLeft64(v[0], 1) + bits.RotateLeft64(v[1], 7) + bits.RotateLeft64(v[2], 12) + bits.RotateLeft64(v[3], 18)
	for _, x := range v {
		h = (h^round(0, x))*prime1 + prime4
	}
	return h, b
}

func round(h, in uint64) uint64 { return bits.RotateLeft64(h+in*prime2, 31) * prime1 }
