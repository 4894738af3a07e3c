package pass

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/series"
)

// A pass of which a plain meter told a part is not as one of a box that checks what it
// sends; a capture is a file, on the way of which nothing is changed.
func TestInstruments_Unprotected(t *testing.T) {
	meter := series.Source{Link: "columns", Unprotected: true}
	var i instruments
	i.source(meter)
	i.begin(Moment{})
	assert.True(t, i.ever)
	i.source(series.Source{Link: "binary"})
	assert.True(t, i.ever, "another box speaks, in the same pass")
	i.begin(Moment{Tick: 1})
	assert.False(t, i.ever)
	i.source(meter)
	assert.True(t, i.ever)
	i.source(series.Source{Link: "capture", Unprotected: true})
	i.begin(Moment{Tick: 2})
	assert.False(t, i.ever)
}
