package live

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/procedure"
)

// What endangers the recording is an alarm like any other: it stays until somebody has seen
// it, whatever the arc does, and over a new beginning of the record.
func TestBoard_AlarmsOfTheRecorder(t *testing.T) {
	at := time.Date(2026, 11, 28, 6, 0, 0, 0, time.UTC)
	b := NewBoard(State{Record: "r"}, &procedure.Job{})
	b.Room("", false, at)
	require.Empty(t, b.Alarms, "there is room")
	b.Interrupted("the recorder died", at)
	b.Room("room for 14 min more", true, at)
	b.Room("room for 4 min more", true, at)
	require.Len(t, b.Alarms, 2)
	disk := b.Alarms[0]
	assert.Equal(t, []any{"disk", "room for 4 min more", true}, []any{disk.Rule, disk.Words, disk.Now})
	b.deafen()
	b.list()
	assert.True(t, b.Alarms[0].Now, "an arc that is not heard makes no room")
	b.Touch([]int64{disk.ID}, false)
	require.True(t, b.Alarms[0].Seen, "it is still so")
	b = b.Anew()
	require.Len(t, b.Alarms, 2)
	b.Room("", false, at)
	require.Len(t, b.Alarms, 1)
	assert.Equal(t, []any{"recorder", false}, []any{b.Alarms[0].Rule, b.Alarms[0].Now})
	b.Touch([]int64{b.Alarms[0].ID}, false)
	assert.Empty(t, b.Alarms)
}
