package recording

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/terminal"
)

// roomSeen is what was told of a disk, and shown.
type roomSeen struct {
	room  room
	told  []string
	low   bool
	words string
	at    time.Time
	used  int64
}

func newRoomSeen() *roomSeen {
	s := &roomSeen{at: time.Date(2026, 11, 28, 6, 0, 0, 0, time.UTC)}
	s.room = room{tell: func(w string) { s.told = append(s.told, w) }, alarm: func(w string, low bool) { s.words, s.low = w, low }}
	return s
}

// grow lets the record grow for so long, in lumps as its log does, on a disk of a size.
func (s *roomSeen) grow(length time.Duration, perSecond, disk int64) {
	for end := s.at.Add(length); s.at.Before(end); s.at = s.at.Add(2 * time.Second) {
		s.used += 2 * perSecond
		lump := max(1, 4*perSecond)
		lumps := s.used / lump * lump
		s.room.look(s.at, Disk{Free: disk - s.used, Used: lumps})
	}
}

// A disk of 30 minutes is told of at 15 and at 5, once each, and the alarm lasts.
func TestRoom_ToldAtFifteenMinutesAndAtFive(t *testing.T) {
	const perSecond = 100_000
	s := newRoomSeen()
	s.grow(14*time.Minute+30*time.Second, perSecond, 30*60*perSecond)
	require.Empty(t, s.told)
	require.False(t, s.low)
	s.grow(time.Minute, perSecond, 30*60*perSecond)
	require.Len(t, s.told, 1)
	assert.Contains(t, s.told[0], "room for 15 min more")
	assert.True(t, s.low)
	s.grow(9*time.Minute, perSecond, 30*60*perSecond)
	require.Len(t, s.told, 1, "once")
	s.grow(time.Minute, perSecond, 30*60*perSecond)
	require.Len(t, s.told, 2)
	assert.Contains(t, s.told[1], "room for 5 min more")
	s.grow(3*time.Minute, perSecond, 30*60*perSecond)
	require.Len(t, s.told, 2)
	assert.Contains(t, s.words, "room for 2 min more", "the alarm says how it stands now")
	s.grow(time.Minute, perSecond, 90*60*perSecond)
	assert.False(t, s.low, "somebody made room")
	require.Len(t, s.told, 2)
	s.grow(time.Minute, perSecond, 34*60*perSecond)
	require.Len(t, s.told, 3, "and it was filled again")
}

// One that fills of a sudden is told of at once, and one that does not grow is not judged.
func TestRoom_PaceIsThatOfThisRecording(t *testing.T) {
	s := newRoomSeen()
	s.grow(10*time.Minute, 0, 0)
	require.Empty(t, s.told, "nothing is recorded, so that nothing can be said")
	s = newRoomSeen()
	s.grow(time.Minute, 1000, 1e12)
	require.Empty(t, s.told)
	s.grow(2*time.Second, 1000, s.used+200_000)
	require.Len(t, s.told, 1)
	assert.Contains(t, s.told[0], "room for 3 min more", "5 is told without 15")
	s.grow(time.Minute, 1000, s.used+300_000)
	require.Len(t, s.told, 1)
}

// A disk that is full is waited for, and the record says so; nothing else is.
func TestSession_WaitsForRoom(t *testing.T) {
	file := filepath.Join(t.TempDir(), "r.arctally")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	full := fmt.Errorf("commit: %w", syscall.ENOSPC)
	at := time.Date(2026, 11, 28, 6, 0, 0, 0, time.UTC)
	looks := 0
	s := Session{Record: file, Now: func() time.Time { at = at.Add(time.Minute); return at }, Disk: func() (Disk, error) {
		looks++
		return Disk{Free: int64(looks-1) * fullAgain}, nil
	}}
	var told bytes.Buffer
	screen := &terminal.Screen{Out: &told, Err: &told, Now: time.Now}
	require.False(t, s.full(t.Context(), screen, syscall.EIO), "an error of the disk is not waited for")
	require.True(t, s.full(t.Context(), screen, full))
	assert.Equal(t, 2, looks)
	assert.True(t, s.More)
	assert.Equal(t, "The disk was full from 2026-11-28 06:01:00 UTC to 2026-11-28 06:02:00 UTC: what came between is missing.", s.Why)
	assert.Equal(t, 2, strings.Count(told.String(), "\n"))
	ended, stop := context.WithCancel(t.Context())
	stop()
	require.False(t, s.full(ended, screen, full), "who ends it is not kept waiting")
}
