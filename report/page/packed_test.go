package page

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/page/live"
)

// looker is a page that takes its events compressed, when it comes to it; plain is what it
// would have been sent otherwise.
type looker struct {
	page          *page
	stream        packedStream
	packed, plain bytes.Buffer
}

func look(t *testing.T, hub *Hub) *looker {
	t.Helper()
	p, err := hub.listen("")
	require.NoError(t, err)
	hub.packs(1)
	l := &looker{page: p, stream: packedStream{hub: hub}}
	l.packed.Write(gzipHead)
	l.take(p.first(true))
	return l
}

func (l *looker) take(messages []message) {
	for k := range messages {
		l.plain.Write(messages[k].text)
		l.packed.Write(l.stream.message(&messages[k]))
	}
}

func (l *looker) comment() {
	l.plain.WriteString(": still here\n\n")
	l.packed.Write(l.stream.comment([]byte(": still here\n\n")))
}

// unpacked is the whole stream as a browser reads it.
func (l *looker) unpacked(t *testing.T) string {
	t.Helper()
	l.packed.Write(gzipTail(l.stream.sum, l.stream.length))
	reader, err := gzip.NewReader(&l.packed)
	require.NoError(t, err)
	text, err := io.ReadAll(reader)
	require.NoError(t, err)
	return string(text)
}

// Whoever comes when, and however often, and is told what in between, reads the same as
// from a stream that is not compressed.
func TestPacked_IsTheSameText(t *testing.T) {
	for seed := range uint64(8) {
		random := rand.New(rand.NewPCG(seed, 3))
		hub := newHub(30)
		var all []*looker
		for n := range 200 {
			switch random.IntN(5) {
			case 0:
				hub.Strip(numbered(n))
			case 1:
				hub.Bead(live.Bead{Record: fmt.Sprint("bead", n)})
			case 2: // now and then longer than what may be referred to
				hub.House(House{Folder: fmt.Sprint("folder", n), Program: string(bytes.Repeat([]byte("long "), random.IntN(8000)))})
			default:
				hub.Live(&live.State{TickNS: int64(n), Title: "a state is much like the one before it"})
			}
			if random.IntN(30) == 0 {
				all = append(all, look(t, hub))
			}
			for k, l := range all {
				if random.IntN(60) == 0 {
					l.comment()
				}
				if random.IntN(1+k%4*20) == 0 { // some are always there, some seldom
					l.take(l.page.next())
				}
			}
		}
		for _, l := range all {
			l.take(l.page.next())
			want := l.plain.String()
			require.Equal(t, want, l.unpacked(t))
		}
	}
}

// Those who look on together are sent the same bytes, which were compressed once, and of a
// state no more than what is new in it.
func TestPacked_OnceForAll(t *testing.T) {
	hub := newHub(30)
	all := []*looker{look(t, hub), look(t, hub), look(t, hub)}
	state := live.State{Title: string(bytes.Repeat([]byte("much is said, and most of it was said before; "), 100))}
	pieces := map[*byte]int{}
	for n := range 20 {
		state.TickNS = int64(n)
		hub.Strip(numbered(n))
		hub.Live(&state)
		for _, l := range all {
			messages := l.page.next()
			require.Len(t, messages, 2)
			for k := range messages {
				piece := l.stream.message(&messages[k])
				pieces[&piece[0]]++
				if n > 1 {
					assert.Less(t, len(piece), 200)
				}
			}
		}
	}
	assert.Len(t, pieces, 40)
	for _, sent := range pieces {
		assert.Equal(t, len(all), sent)
	}
}

// Nothing is compressed while nobody takes it so.
func TestPacked_NotForNobody(t *testing.T) {
	hub := newHub(30)
	l := look(t, hub)
	l.page.leave()
	hub.packs(-1)
	hub.Live(&live.State{})
	assert.Nil(t, hub.live.packed)
}

func TestTakesGzip(t *testing.T) {
	for header, want := range map[string]bool{
		"": false, "gzip": true, "gzip, deflate, br, zstd": true, "br;q=1, GZIP ; q=0.5": true, "gzip;q=0": false, "gzip; q=0.0, br": false, "x-gzip": false, "identity": false, "br": false,
	} {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		r.Header.Set("Accept-Encoding", header)
		assert.Equal(t, want, takesGzip(r), header)
	}
}

// A client that takes gzip reads the events of a real server, and their end.
func TestStream_PackedOverARealConnection(t *testing.T) {
	hub := NewHub()
	s := httptest.NewServer(streaming(hub).answering(streaming(hub).events))
	defer s.Close()
	hub.Live(&live.State{TickNS: 41})
	response, err := http.Get(s.URL) // takes gzip, and says whether it was sent so
	require.NoError(t, err)
	assert.True(t, response.Uncompressed)
	lines := bufio.NewScanner(response.Body)
	until := func(says string) {
		for lines.Scan() {
			if strings.Contains(lines.Text(), says) {
				return
			}
		}
		t.Errorf("nobody says %s: %v", says, lines.Err())
	}
	until(`"tick_ns":41`)
	hub.Live(&live.State{TickNS: 42})
	until(`"tick_ns":42`)
	hub.Close()
	for lines.Scan() {
		continue
	}
	require.NoError(t, lines.Err(), "the stream has an end")
	require.NoError(t, response.Body.Close())
}
