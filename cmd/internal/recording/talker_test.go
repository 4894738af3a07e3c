package recording

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/port"
	"arctally/acquire/series"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/terminal"
)

// pseudoPort makes a port, and returns its name.
func pseudoPort(t *testing.T) string {
	t.Helper()
	master, slave, err := pty.Open()
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, master.Close()); require.NoError(t, slave.Close()) })
	return slave.Name()
}

// The port of the arc must be there; that of another box may come later, but may not be
// somebody else's.
func TestOpenLines(t *testing.T) {
	arc, beside, taken := pseudoPort(t), pseudoPort(t), pseudoPort(t)
	holder, err := port.Open(t.Context(), port.Config{Name: taken})
	require.NoError(t, err)
	defer func() { require.NoError(t, holder.Close()) }()
	missing := filepath.Join(t.TempDir(), "gone")
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for name, c := range map[string]struct {
		ports []string
		want  port.Kind
		names string
	}{
		"both":           {[]string{arc, beside}, port.Other, ""},
		"later":          {[]string{arc, missing}, port.Other, ""},
		"no arc":         {[]string{missing, beside}, port.Missing, missing},
		"taken":          {[]string{arc, taken}, port.Busy, taken},
		"not a port":     {[]string{arc, file}, port.NotAPort, file},
		"one port twice": {[]string{arc, arc}, port.Busy, arc},
	} {
		t.Run(name, func(t *testing.T) {
			var sensors []procedure.Sensor
			for _, p := range c.ports {
				sensors = append(sensors, procedure.Sensor{Port: p, Link: "binary"})
			}
			boxes, open, err := openLines(t.Context(), sensors, time.Now)
			if c.want == port.Other {
				require.NoError(t, err)
				require.NoError(t, open.close())
				for k := range boxes {
					assert.Equal(t, c.ports[k], boxes[k].Source.Port)
				}
				return
			}
			var e *port.Error
			require.ErrorAs(t, err, &e)
			assert.Equal(t, c.want, e.Kind)
			assert.Equal(t, c.names, e.Port)
			assert.NotEmpty(t, explain.Of(err).Hint)
		})
	}
	_, _, err = openLines(t.Context(), []procedure.Sensor{{Port: arc, Link: "morse"}}, time.Now)
	require.ErrorContains(t, err, "morse")
	again, err := port.Open(t.Context(), port.Config{Name: arc})
	require.NoError(t, err, "what was opened is closed after an error")
	require.NoError(t, again.Close())
}

// What is told of a box beside the arc at the terminal, and what the judge tells itself.
func TestBeside(t *testing.T) {
	for _, c := range []struct {
		event series.Event
		want  string
	}{
		{series.Event{Kind: series.Silent, Text: "nothing was heard"}, "warning: nothing was heard; the recording goes on"},
		{series.Event{Kind: series.Silent, Box: 2, Text: "nothing was heard"}, "warning: nothing was heard; the recording goes on"},
		{series.Event{Kind: series.Failed, Box: 1, Text: "cut"}, "warning: cut; the recording goes on"},
		{series.Event{Kind: series.Heard, Box: 1, Text: "it is heard"}, "it is heard"},
		{series.Event{Kind: series.ArcTold, Text: "from here on"}, "from here on"},
		{series.Event{Kind: series.Unplugged, Box: 1, Text: "gone"}, "warning: gone; the recording goes on without it"},
		{series.Event{Kind: series.Replugged, Box: 1, Text: "back"}, "back"},
		{series.Event{Kind: series.Unplugged, Text: "gone"}, ""},
		{series.Event{Kind: series.Replugged, Text: "back"}, ""},
		{series.Event{Kind: series.Gap, Box: 1, Text: "missing"}, ""},
	} {
		var said strings.Builder
		require.NoError(t, beside{terminal.New(io.Discard, &said)}.Event(c.event))
		assert.Equal(t, c.want, strings.TrimSpace(said.String()), "%v", c.event)
	}
}
