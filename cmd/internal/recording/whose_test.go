package recording

import (
	"bytes"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/cmd/internal/terminal"
)

// The terminal is told at once where another box measures, once for each change, and
// where two boxes say one serial.
func TestWhose(t *testing.T) {
	var told bytes.Buffer
	w := &whose{screen: terminal.New(io.Discard, &told)}
	for _, s := range []series.Source{
		{Assumed: true, Port: "p"},
		{Serial: "A", Port: "p"},
		{Serial: "A", Port: "p", Firmware: "2"},
		{Serial: "W", Box: 1},
		{Serial: "B", Port: "p"},
		{Assumed: true, Port: "p"},
		{Serial: "B", Port: "p"},
		{},
	} {
		require.NoError(t, w.Source(s))
	}
	require.NoError(t, w.Event(series.Event{Kind: series.SameSerial, Text: "two boxes say that they are box B"}))
	require.NoError(t, w.Event(series.Event{Kind: series.AnotherBox, Text: "told by its source"}))
	require.NoError(t, w.Event(series.Event{Kind: series.AnotherBox, Box: 1, Text: "another box speaks: box X in place of box W"}))
	require.NoError(t, w.Block(&series.Block{}))
	assert.Equal(t, []string{
		"warning: another box measures: box B in place of box A; what is bound to the former corrects nothing of it",
		"warning: a box that has not said yet who it is measures; what is bound to box B corrects nothing of it",
		"warning: two boxes say that they are box B",
		"warning: another box speaks: box X in place of box W",
	}, strings.Split(strings.TrimSpace(told.String()), "\n"))
	told.Reset()
	w = &whose{screen: terminal.New(io.Discard, &told)}
	require.NoError(t, w.Source(series.Source{Port: "/dev/p"}))
	assert.Equal(t, "the box says no serial: its calibrations are bound to port /dev/p\n", told.String())
	told.Reset()
	w = &whose{screen: terminal.New(io.Discard, &told), last: "A"}
	require.NoError(t, w.Source(series.Source{Serial: "B", Port: "p"}))
	assert.Contains(t, told.String(), "box B in place of box A", "of what was recorded before")
}
