package port

import (
	"bytes"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/windows"
)

// The box behind the port that is named here answers every byte with all bytes there are.
const answeringPort = "ARCTALLY_ANSWERING_PORT"

// deepen has the stack of its goroutine grow, so that it lies elsewhere afterwards.
//
//go:noinline
func deepen(depth int) byte {
	var filled [1 << 10]byte
	filled[depth%len(filled)] = byte(depth)
	if depth == 0 {
		return filled[1]
	}
	return filled[0] + deepen(depth-1)
}

// What comes while the stack of the reader moves is read like any other.
func TestCom_StackMoves(t *testing.T) {
	name := os.Getenv(answeringPort)
	if name == "" {
		t.Skip(answeringPort + " names no port: make anywhere does")
	}
	var answer []byte
	for k := range 256 {
		answer = append(answer, byte(k))
	}
	opened, err := openLine(name, modeOf(115200, false))
	require.NoError(t, err)
	c := opened.(*com)
	for range 50 {
		var got []byte
		done := make(chan error)
		go func() { // on a small stack
			began := c.beginRead(len(answer))
			pending := began == windows.ERROR_IO_PENDING
			deepen(100)
			_, err := c.Write([]byte{1})
			for len(got) < len(answer) && err == nil {
				var n int
				n, err = c.wait(&c.reading, began)
				got = append(got, c.reading.bytes[:n]...)
				if rest := len(answer) - len(got); rest > 0 && err == nil {
					began = c.beginRead(rest)
				}
			}
			assert.True(t, pending, "it came before it was asked for")
			done <- err
		}()
		require.NoError(t, <-done)
		require.True(t, bytes.Equal(answer, got), "%d of %d bytes", len(got), len(answer))
	}
	require.NoError(t, c.Close())
}
