package page

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/sheet"
)

func TestEvents(t *testing.T) {
	s := newSite(t)
	var answer EventsAnswer
	s.get(recordPath("/events"), &answer)
	require.NotEmpty(t, answer.List.Events)
	assert.NotEmpty(t, answer.List.Banner)
	first := answer.List.Events[0]
	s.get(recordPath("/events?state=decided&group=pass&units=us"), &answer)
	assert.Empty(t, answer.List.Events)
	s.get(recordPath("/events?pass=1&layer=1&from=1"), &answer)
	assert.Equal(t, 1, answer.List.From)

	var one sheet.EventAlone
	s.get(recordPath("/events/1?units=us"), &one)
	assert.Equal(t, first.Number, one.Event.Number)
	assert.NotEmpty(t, one.Findings)

	for query, field := range map[string]string{"state=good": "state", "group=colour": "group", "units=miles": "units", "pass=-1": "pass", "from=x": "from", "layer=1e9": "layer"} {
		s.ask("GET", recordPath("/events?"+query), nil).fields(422)
		assert.Equal(t, []string{field}, s.ask("GET", recordPath("/events/1?"+query), nil).fields(422), query)
	}
	s.ask("GET", recordPath("/events/99"), nil).trouble(404)
	s.ask("GET", recordPath("/events/none"), nil).trouble(404)
	s.ask("GET", recordPath("/events/-1"), nil).trouble(404)
	s.ask("GET", "/api/records/none/events", nil).trouble(404)
	s.bench.judging = true
	require.Equal(t, http.StatusAccepted, s.ask("GET", recordPath("/events"), nil).status)
}

// An entry is about one thing, and several events at once are not corrected at once.
func TestEnter_severalEvents(t *testing.T) {
	s := newSite(t)
	enter := func(e EntryRequest) answer { return s.ask("POST", recordPath("/entries"), e) }
	assert.Equal(t, []string{"finding"}, enter(EntryRequest{By: "A", Event: 1, Events: []int{1}}).fields(422))
	assert.Equal(t, []string{"corrects"}, enter(EntryRequest{By: "A", Events: []int{1}, Corrects: 1}).fields(422))
}
