package sensorbox

import (
	"context"
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const patience = time.Minute // after which a test calls it a hang: far longer than anything takes

// shortRun is over in some 7 s of the box.
func shortRun() Plan {
	p := brisk()
	p.Length = p.Pitch
	p.Gaps = nil
	p.RotationSpeed *= 6
	return p
}

// The pace is never faster than asked for; how much slower is the machine's affair.
func TestPacer(t *testing.T) {
	begun := time.Now()
	p := pacer{ctx: t.Context(), start: begun, speed: 100}
	require.NoError(t, p.pace(5e9))
	assert.GreaterOrEqual(t, time.Since(begun), 50*time.Millisecond)
	require.NoError(t, p.pace(5e9), "it is late already")

	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	p = pacer{ctx: ctx, start: time.Now().Add(time.Hour), speed: 1}
	require.ErrorIs(t, p.pace(0), context.Canceled, "it would have slept")
	p.start = time.Now().Add(-time.Hour)
	require.NoError(t, p.pace(int64(time.Hour)), "less than is worth a sleep")
	p.speed = 0
	require.NoError(t, p.pace(1<<62), "nothing holds it back")
}

func TestPlayNeedsAPort(t *testing.T) {
	box, err := New(shortRun())
	require.NoError(t, err)
	_, err = box.Play(t.Context())
	assert.ErrorIs(t, err, ErrNoPort)
}

func TestWriteReturnsTheWritersError(t *testing.T) {
	full := errors.New("full")
	box, err := New(shortRun())
	require.NoError(t, err)
	_, err = box.Write(t.Context(), writerFunc(func([]byte) (int, error) { return 0, full }))
	assert.ErrorIs(t, err, full)
}

type writerFunc func([]byte) (int, error)

func (f writerFunc) Write(p []byte) (int, error) { return f(p) }
