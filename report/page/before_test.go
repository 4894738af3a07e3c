package page

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestBefore_TellsWhatIsMissing(t *testing.T) {
	s := newSite(t)
	var begin Begin
	s.get("/api/checks/boom%20pin/before?job=boom", &begin)
	assert.Equal(t, "Operator 1", begin.Operator)
	assert.Len(t, begin.Points, 2)
	assert.Equal(t, []string{"job"}, s.ask("GET", "/api/checks/boom%20pin/before", nil).fields(422))
	s.ask("GET", "/api/checks/..%2Fx/before?job=boom", nil).trouble(404)
}

func TestStart_WithoutSomethingNamesWhoGoesWithoutIt(t *testing.T) {
	s := newSite(t)
	start := func(r StartRequest) answer { return s.ask("POST", "/api/recording", r) }
	assert.Equal(t, []string{"by"}, start(StartRequest{Job: "boom", Without: []string{"zero of voltage: not checked"}}).fields(422))
	for _, without := range [][]string{{" "}, {"two\nlines"}, {strings.Repeat("x", longestWithout+1)}, make([]string, mostWithout+1)} {
		assert.Equal(t, []string{"without"}, start(StartRequest{Job: "boom", By: "Operator 1", Without: without}).fields(422))
	}
	assert.Equal(t, 201, start(StartRequest{Job: "boom", By: "Operator 1", Without: []string{"zero of voltage: not checked"}}).status)
}
