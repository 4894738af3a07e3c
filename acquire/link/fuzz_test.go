package link

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// fuzz feeds a stream in pieces of any size: it must never panic, its blocks
// must be sound, its damage must lie in order inside the stream, and the same
// must come out when it is fed at once.
func fuzz(f *testing.F, link string) {
	stream := captured(f, link)
	f.Add(stream, uint16(7))
	for k := 0; k < len(stream); k += 97 {
		f.Add(stream[k:min(len(stream), k+300)], uint16(k))
	}
	f.Fuzz(func(t *testing.T, stream []byte, piece uint16) {
		require.Equal(t, replay(t, link, stream, len(stream)+1), replay(t, link, stream, int(piece)+1))
		d, start := described(t, link)
		end := start
		d.Decode(stream, func(r *Reading, err error) {
			var damage *Error
			if errors.As(err, &damage) {
				require.GreaterOrEqual(t, damage.Offset, end)
				require.Positive(t, damage.Bytes)
				end = damage.Offset + int64(damage.Bytes)
				require.LessOrEqual(t, end, start+int64(len(stream)))
				return
			}
			require.NoError(t, err)
			for k := range r.Blocks {
				requireSound(t, &r.Blocks[k])
			}
		})
	})
}

// requireSound checks what every user of a block takes for granted.
func requireSound(t *testing.T, b *series.Block) {
	t.Helper()
	n := b.Len()
	require.Positive(t, n)
	require.GreaterOrEqual(t, b.At(0), int64(0))
	switch b.Kind {
	case series.Arc:
		require.Len(t, b.I, n)
	case series.Slow:
		require.Len(t, b.Channel, n)
	case series.Turn:
		require.Len(t, b.Ticks, n)
	case series.Sums:
		require.Positive(t, b.Sum.Count)
		require.Positive(t, b.Step)
	default:
		t.Fatalf("a block of kind %d", b.Kind)
	}
}

func FuzzBinary(f *testing.F) { fuzz(f, Binary) }

func FuzzDelimited(f *testing.F) { fuzz(f, Delimited) }

func FuzzLineProtocol(f *testing.F) { fuzz(f, LineProtocol) }

// FuzzChecked reaches behind the checksum, which no mutation gets past: it seals
// the body of a line, or a payload, before it is decoded.
func FuzzChecked(f *testing.F) {
	for _, frame := range numbered(f, Binary) {
		payload := make([]byte, len(frame))
		n, _ := decodeCOBS(payload, frame[:len(frame)-1])
		f.Add(payload[:n-checksumSize])
	}
	f.Add([]byte(`arc,src=box1 boot=7i,seq=1i,t=2i,v=1e3,i=.5,note="a\"b"`))
	f.Add([]byte("W,7,1,2,24.31,-.5,"))
	f.Fuzz(func(t *testing.T, body []byte) {
		for _, link := range links {
			d, _ := described(t, link)
			d.Decode(sealed(link, body), func(r *Reading, err error) {
				var damage *Error
				if errors.As(err, &damage) {
					require.NotEqual(t, BadChecksum, damage.Kind, "sealed")
					return
				}
				require.NoError(t, err)
				for k := range r.Blocks {
					requireSound(t, &r.Blocks[k])
				}
			})
		}
	})
}

// sealed puts the right checksum behind any body, and the marks of the link
// around it. What would end a line early is left out of it.
func sealed(link string, body []byte) []byte {
	sum := crc32.Checksum(body, castagnoli)
	if link == Binary {
		return append(stuffed(binary.LittleEndian.AppendUint32(bytes.Clone(body), sum)), 0)
	}
	body = bytes.TrimSpace(bytes.ReplaceAll(body, []byte{'\n'}, nil))
	sum = crc32.Checksum(body, castagnoli)
	if link == Delimited {
		return fmt.Appendf(nil, "$%s*%08x\n", body, sum)
	}
	return fmt.Appendf(nil, "%s%s%du\n", body, checksumName, sum)
}
