package page

import (
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A request that says one thing twice is not carried out in either way.
func TestReceive_SaysEachOnce(t *testing.T) {
	for body, wants := range map[string]string{`{"job":"a","by":"x"}`: "", `{"job":"a","job":"b"}`: `the key "job" stands twice`, `{"job":"a","Job":"b"}`: `the key "Job" stands twice`} {
		r := httptest.NewRequest("POST", "/api/recording", strings.NewReader(body))
		r.Header.Set("Content-Type", "application/json")
		err := receive(httptest.NewRecorder(), r, new(StartRequest))
		if wants == "" {
			require.NoError(t, err)
		} else {
			require.ErrorContains(t, err, wants)
		}
	}
}
