package page

import (
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/plausible"
)

// reading is a server of one operation that reads a body within a short time, and
// then works for longer than that.
func reading(t *testing.T, within time.Duration, gone chan<- error) *httptest.Server {
	s := httptest.NewServer(streaming(NewHub()).answering(func(w http.ResponseWriter, r *http.Request) error {
		text, err := readBody(w, r, mostJSON, within)
		if err != nil {
			return err
		}
		time.Sleep(2 * within)
		gone <- r.Context().Err()
		return reply(w, http.StatusOK, string(text))
	}))
	t.Cleanup(s.Close)
	return s
}

func TestReadBody_DoesNotWaitForWhoStops(t *testing.T) {
	s := reading(t, 50*time.Millisecond, nil)
	never, end := io.Pipe()
	defer func() { require.NoError(t, end.Close()) }()
	response, err := http.Post(s.URL, "application/json", never)
	require.NoError(t, err)
	defer func() { require.NoError(t, response.Body.Close()) }()
	body, err := io.ReadAll(response.Body)
	require.NoError(t, err)
	answer{t, response.StatusCode, response.Header, body}.trouble(http.StatusRequestTimeout)
}

func TestReadBody_LeavesTimeForTheWorkThatFollows(t *testing.T) {
	gone := make(chan error, 1)
	s := reading(t, 500*time.Millisecond, gone)
	response, err := http.Post(s.URL, "application/json", strings.NewReader("quick"))
	require.NoError(t, err)
	defer func() { require.NoError(t, response.Body.Close()) }()
	require.NoError(t, <-gone)
	assert.Equal(t, http.StatusOK, response.StatusCode)
}

// TestDoubted: what a request has is kept by the request, what a file has by its form.
func TestDoubted(t *testing.T) {
	typed := &plausible.Doubt{Field: "gain", Value: "0.099", Usual: "0.9 to 1.1", Why: "w"}
	p := doubted(&plausible.UnsureError{Doubts: []*plausible.Doubt{typed}})
	assert.Equal(t, []FieldProblem{{"gain", "0.099 is outside of what is usual, 0.9 to 1.1: w", "gain 0.099"}}, p.Fields)
	assert.Equal(t, http.StatusUnprocessableEntity, p.Status)
	written := &plausible.Doubt{Field: "bore.length", Value: "9 m", Usual: "1 to 2", Why: "w", Place: "job.yaml:3:4"}
	p = doubted(&plausible.UnsureError{Doubts: []*plausible.Doubt{written}})
	assert.Empty(t, p.Fields)
	assert.Contains(t, p.Hint, "open the form of the job")
}
