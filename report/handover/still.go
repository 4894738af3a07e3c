package handover

import (
	"context"
	"net"
	"net/http"
	"time"

	"github.com/minio/minio-go/v7"
)

// longestStill is how long nothing may go over a connection until it is given up. Ours: the library waits for
// an answer for a minute, and for ever where a link stands still in the midst of a file.
const longestStill = 2 * time.Minute

// transport is that of the library, over connections on which nothing stands still for longer than said.
func transport(secure bool, longest time.Duration) (*http.Transport, error) {
	t, err := minio.DefaultTransport(secure)
	if err != nil {
		return nil, err
	}
	dial := t.DialContext
	t.DialContext = func(ctx context.Context, network, address string) (net.Conn, error) {
		under, err := dial(ctx, network, address)
		if err != nil {
			return nil, err
		}
		return &moving{under, longest}, nil
	}
	return t, nil
}

// moving is a connection that fails once nothing has gone over it, in either direction, for too long.
type moving struct {
	net.Conn
	longest time.Duration
}

// Read implements io.Reader.
func (m *moving) Read(p []byte) (int, error) { return m.went(m.Conn.Read(p)) }

// Write implements io.Writer.
func (m *moving) Write(p []byte) (int, error) { return m.went(m.Conn.Write(p)) }

func (m *moving) went(n int, err error) (int, error) {
	if n > 0 && err == nil {
		err = m.SetDeadline(time.Now().Add(m.longest))
	}
	return n, err
}
