package handover

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"testing"
	"time"

	"github.com/minio/minio-go/v7/pkg/credentials"
	"github.com/stretchr/testify/require"
)

// impatient opens a store at an address, over connections on which nothing may stand still for long.
func impatient(t *testing.T, address string) *objects {
	t.Helper()
	o := &objects{where: "s3://repairs", bucket: "repairs", mostAtOnce: mostAtOnce, piece: pieceBytes}
	require.NoError(t, o.reach(&url.URL{Scheme: "http", Host: address}, "x", credentials.NewStaticV4("k", "s", ""), 50*time.Millisecond))
	return o
}

// A link that stands still in the midst of what comes is told, and nobody waits for it for ever.
func TestObjects_StandsStillWhileItComes(t *testing.T) {
	store := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Length", "1000")
		w.Header().Set("Last-Modified", "Mon, 04 May 2026 08:13:25 GMT")
		_, _ = w.Write([]byte("the first bytes"))
		_ = http.NewResponseController(w).Flush()
		<-r.Context().Done()
	}))
	t.Cleanup(store.Close)
	file, err := impatient(t, store.Listener.Addr().String()).Get(t.Context(), digest, RecordName)
	require.NoError(t, err)
	content, err := io.ReadAll(file)
	requireKind(t, Unreachable, err)
	require.Equal(t, "the first bytes", string(content))
	require.NoError(t, file.Close())
}

// The same of a link that takes nothing more of what goes.
func TestObjects_StandsStillWhileItGoes(t *testing.T) {
	listener, err := new(net.ListenConfig).Listen(t.Context(), "tcp", "127.0.0.1:0")
	require.NoError(t, err)
	var open []net.Conn
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		for {
			one, err := listener.Accept()
			if err != nil {
				return
			}
			open = append(open, one) // and nothing of it is read
		}
	}()
	t.Cleanup(func() {
		require.NoError(t, listener.Close())
		<-ended
		for _, one := range open {
			require.NoError(t, one.Close())
		}
	})
	content := bytes.NewReader(make([]byte, 32<<20))
	sum, err := SumOf(content)
	require.NoError(t, err)
	_, err = content.Seek(0, io.SeekStart)
	require.NoError(t, err)
	err = impatient(t, listener.Addr().String()).Put(context.Background(), digest, Entry{Name: SamplesName, Format: "x", Sum: sum}, content)
	requireKind(t, Unreachable, err)
}

// noted is a connection that notes until when it may stand still.
type noted struct {
	net.Conn
	until []time.Time
}

func (n *noted) Read(p []byte) (int, error)  { return len(p), nil }
func (n *noted) Write(p []byte) (int, error) { return len(p), nil }

func (n *noted) SetDeadline(at time.Time) error {
	n.until = append(n.until, at)
	return nil
}

// What goes in one direction is a reason to wait in the other one: a large file takes long, and no answer comes meanwhile.
func TestMoving_EitherDirectionPutsTheEndOff(t *testing.T) {
	under := new(noted)
	m := &moving{under, time.Hour}
	for k, does := range []func([]byte) (int, error){m.Write, m.Read, m.Write} {
		before := time.Now()
		n, err := does(make([]byte, 3))
		require.NoError(t, err)
		require.Equal(t, 3, n)
		require.Len(t, under.until, k+1)
		require.False(t, under.until[k].Before(before.Add(time.Hour)))
	}
	_, err := m.Write(nil)
	require.NoError(t, err)
	require.Len(t, under.until, 3, "nothing went")
}
