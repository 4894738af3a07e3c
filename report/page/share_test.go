package page

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func noQuestions() questions { return questions{open: map[string]*question{}} }

// working is work that ends when it is let go, or when it is broken off.
type working struct {
	begun, broken atomic.Int64
	let           chan struct{}
}

func (w *working) work(ctx context.Context) (*wholeAnswer, error) {
	w.begun.Add(1)
	select {
	case <-w.let:
		return &wholeAnswer{status: int(w.begun.Load())}, nil
	case <-ctx.Done():
		w.broken.Add(1)
		return nil, ctx.Err()
	}
}

// What several ask at once is worked out once; who asks after somebody has changed
// something, or asks something else, is not told what was true before.
func TestQuestions_WorkedOutOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		q, w := noQuestions(), &working{let: make(chan struct{})}
		var all sync.WaitGroup
		ask := func(what string) {
			all.Go(func() {
				a, err := q.ask(t.Context(), what, w.work)
				assert.NoError(t, err)
				assert.NotNil(t, a)
			})
			synctest.Wait()
		}
		for range 20 {
			ask("trace")
		}
		assert.EqualValues(t, 1, w.begun.Load())
		ask("another trace")
		assert.EqualValues(t, 2, w.begun.Load())
		q.changed()
		ask("trace")
		assert.EqualValues(t, 3, w.begun.Load())
		close(w.let)
		all.Wait()
		synctest.Wait()
		assert.Empty(t, q.open)
		ask("trace")
		all.Wait()
		assert.EqualValues(t, 4, w.begun.Load(), "an answer is not kept")
	})
}

// Work goes on while one waits for it, and is broken off when nobody does; who comes then
// has it begun anew.
func TestQuestions_BrokenOffWhenNobodyWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		q, w := noQuestions(), &working{let: make(chan struct{})}
		ended := make(chan error, 3)
		ask := func() context.CancelFunc {
			ctx, goAway := context.WithCancel(t.Context())
			go func() {
				_, err := q.ask(ctx, "trace", w.work)
				ended <- err
			}()
			synctest.Wait()
			return goAway
		}
		first, second := ask(), ask()
		first()
		require.ErrorIs(t, <-ended, context.Canceled)
		synctest.Wait()
		assert.Zero(t, w.broken.Load(), "the second still waits")
		second()
		require.ErrorIs(t, <-ended, context.Canceled)
		synctest.Wait()
		assert.EqualValues(t, 1, w.broken.Load())
		assert.Empty(t, q.open)
		third := ask()
		defer third()
		assert.EqualValues(t, 2, w.begun.Load())
		close(w.let)
		require.NoError(t, <-ended)
	})
}

// A shared answer is what each would have been told alone: its status, its errors, and its
// bytes, compressed for those who take them so.
func TestSharing(t *testing.T) {
	s := &server{outward: Outward, hub: NewHub(), log: slog.New(slog.DiscardHandler), explain: func(error) (int, string) { return http.StatusTeapot, "" }, questions: noQuestions()}
	text := `{"much": "` + strings.Repeat("of the same ", 1000) + `"}`
	ask := func(encoding string, operation func(http.ResponseWriter, *http.Request) error) *httptest.ResponseRecorder {
		r := httptest.NewRequest(http.MethodGet, "/api/x?y=z", nil)
		r.Header.Set("Accept-Encoding", encoding)
		w := httptest.NewRecorder()
		s.answering(s.sharing(operation))(w, r)
		return w
	}
	long := func(w http.ResponseWriter, _ *http.Request) error {
		return replyJSON(w, http.StatusAccepted, []byte(text))
	}
	plain := ask("", long)
	assert.Equal(t, http.StatusAccepted, plain.Code)
	assert.Equal(t, text, plain.Body.String())
	assert.Equal(t, "application/json", plain.Header().Get("Content-Type"))
	assert.Equal(t, "no-store", plain.Header().Get("Cache-Control"))
	assert.Equal(t, "Accept-Encoding", plain.Header().Get("Vary"))
	packed := ask("gzip", long)
	assert.Equal(t, "gzip", packed.Header().Get("Content-Encoding"))
	assert.Less(t, packed.Body.Len(), len(text)/20)
	short := ask("gzip", func(w http.ResponseWriter, _ *http.Request) error { return replyJSON(w, http.StatusOK, []byte("{}")) })
	assert.Empty(t, short.Header().Get("Content-Encoding"))
	wrong := ask("gzip", func(http.ResponseWriter, *http.Request) error { return errors.New("it is wrong") })
	assert.Equal(t, http.StatusTeapot, wrong.Code)
	assert.Contains(t, wrong.Body.String(), "it is wrong")
	broken := ask("gzip", func(http.ResponseWriter, *http.Request) error { panic("a mistake") })
	assert.Equal(t, http.StatusInternalServerError, broken.Code)
	assert.Contains(t, broken.Body.String(), errBroken.Message)
}

// An operation is shared only where there is one of that name, and where it changes nothing.
func TestShared_AreOperations(t *testing.T) {
	there := map[string]bool{}
	for _, route := range (&server{}).routes() {
		there[route.pattern] = true
	}
	for pattern := range shared {
		assert.True(t, there[pattern], pattern)
		assert.True(t, strings.HasPrefix(pattern, "GET "), pattern)
		assert.False(t, uncompressed[pattern], pattern)
	}
}

// Whatever may change something has what is asked from then on answered anew.
func TestMux_ChangesAreNoticed(t *testing.T) {
	s := &server{outward: Outward, hub: NewHub(), log: slog.New(slog.DiscardHandler), explain: func(error) (int, string) { return http.StatusTeapot, "" }, questions: noQuestions()}
	mux := visitedBy(AtTheMachine, s.mux())
	for _, method := range []string{http.MethodGet, http.MethodPost, http.MethodPost} {
		mux.ServeHTTP(httptest.NewRecorder(), httptest.NewRequest(method, "/api/records/%2e%2e/entries", nil))
	}
	assert.Equal(t, 2, s.questions.changes)
}
