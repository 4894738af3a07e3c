package page

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/sheet"
)

// What a page asks for as a person looks at it is what the whole result says.
func TestParts(t *testing.T) {
	s := newSite(t)
	list := s.bench.sheet().PassList()
	var part sheet.PassPage
	s.get(recordPath("/passes"), &part)
	require.Len(t, part.Passes, len(list.Passes))
	assert.Equal(t, list.Passes[0].VoltageMean, part.Passes[0].VoltageMean)
	s.get(recordPath("/passes?from=1"), &part)
	assert.Equal(t, 1, part.From)
	assert.Equal(t, []string{"from"}, s.ask("GET", recordPath("/passes?from=x"), nil).fields(422))

	var one sheet.PassAlone
	s.get(recordPath("/passes/1"), &one)
	assert.Equal(t, list.Passes[0], one.Pass)
	assert.NotEmpty(t, one.Findings)

	var cell sheet.CellAlone
	s.get(recordPath("/cells/1/2"), &cell)
	assert.NotEmpty(t, cell.Values)
	for _, path := range []string{"/passes/99", "/passes/none", "/passes/-1", "/cells/99999/0", "/cells/0/-1", "/cells/0/x", "/cells/x/0"} {
		s.ask("GET", recordPath(path), nil).trouble(404)
	}
	for _, path := range []string{"/passes", "/passes/1", "/cells/1/2"} {
		s.ask("GET", "/api/records/none"+path, nil).trouble(404)
		s.ask("GET", "/api/records/.hidden"+path, nil).trouble(404)
	}
	s.bench.judging = true
	require.Equal(t, http.StatusAccepted, s.ask("GET", recordPath("/passes"), nil).status)
}
