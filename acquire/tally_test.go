package acquire_test

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// accountant is a sink that wants the account.
type accountant struct {
	memory
	tallies []acquire.Tally
	failure error
}

func (a *accountant) Tally(t acquire.Tally) error {
	a.tallies = append(a.tallies, t)
	return a.failure
}

func TestRecord_TellsTheTallyOfEachRead(t *testing.T) {
	b := newBox(t)
	b.hello(described())
	b.arc(1)
	half := len(b.stream)
	b.loseArc(2)
	b.arc(1)
	a := &accountant{}
	tally, err := acquiretest.Record(context.Background(), cut(b.stream, half, 0), acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{a}})
	require.NoError(t, err)
	require.Len(t, a.tallies, 2)
	assert.EqualValues(t, 2, a.tallies[0].Frames)
	assert.EqualValues(t, 0, a.tallies[0].Lost)
	assert.EqualValues(t, half, a.tallies[0].Bytes)
	assert.EqualValues(t, 2, a.tallies[1].Lost)
	assert.Equal(t, tally, a.tallies[1])

	broken := errors.New("no more")
	_, err = acquiretest.Record(context.Background(), cut(b.stream, half, 0), acquiretest.Config{Link: link.Binary, Sinks: []series.Sink{&accountant{failure: broken}}})
	assert.ErrorIs(t, err, broken)
}
