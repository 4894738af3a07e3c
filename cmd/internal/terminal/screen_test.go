package terminal

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/explain"
)

func TestProgress(t *testing.T) {
	for _, test := range []struct {
		id   string
		live bool
		want string
	}{
		{"terminal", true, "\rreading:   1 %\x1b[K\rreading:   2 %\x1b[K\r\x1b[K"},
		{"pipe", false, "reading:   1 %\nreading:   6 %\n"},
	} {
		t.Run(test.id, func(t *testing.T) {
			var seen bytes.Buffer
			now := time.Unix(0, 0)
			terminal := &Screen{Err: &seen, orders: &seen, live: test.live, Now: func() time.Time { return now }}
			bar := terminal.Progress("reading")
			last := 2100 * time.Millisecond // one second shows the first line, two the second
			if !test.live {
				last = 6100 * time.Millisecond
			}
			for ; now.Sub(time.Unix(0, 0)) < last; now = now.Add(50 * time.Millisecond) {
				if elapsed := now.Sub(time.Unix(0, 0)); elapsed%time.Second == 0 {
					bar.Show(elapsed.Seconds() / 100)
				}
			}
			bar.Clear()
			assert.Equal(t, test.want, seen.String())
		})
	}
}

func TestWait(t *testing.T) {
	var seen bytes.Buffer
	terminal := New(&seen, &seen)
	terminal.Now = func() time.Time { return time.Unix(0, 0) } // however long this machine takes
	failed := errors.New("failed")
	assert.ErrorIs(t, terminal.Wait(t.Context(), "reading", func() error { return failed }), failed)
	assert.NoError(t, terminal.Wait(t.Context(), "reading", func() error { return nil }))
	assert.Empty(t, seen.String(), "short work needs no word")
	ctx, stop := context.WithCancel(t.Context())
	stop()
	blocked := make(chan struct{})
	defer close(blocked)
	assert.ErrorIs(t, terminal.Wait(ctx, "reading", func() error { <-blocked; return nil }), context.Canceled)
}

// What a program reads goes out as it is, but not to a terminal, which would obey it.
func TestData(t *testing.T) {
	var piped bytes.Buffer
	_, err := New(&piped, io.Discard).Data().Write([]byte("\x1b[2J"))
	require.NoError(t, err)
	assert.Equal(t, "\x1b[2J", piped.String())
	master, slave, err := pty.Open()
	require.NoError(t, err)
	defer func() { assert.NoError(t, errors.Join(master.Close(), slave.Close())) }()
	_, err = New(slave, io.Discard).Data().Write([]byte("\x1b[2J\n"))
	require.NoError(t, err)
	line, err := bufio.NewReader(master).ReadString('\n')
	require.NoError(t, err)
	assert.Equal(t, `\u001b[2J`, strings.TrimSpace(line))
}

// TestTell keeps what comes from outside in its line, and lets it order nothing.
func TestTell(t *testing.T) {
	var seen, printed bytes.Buffer
	s := New(&printed, &seen)
	s.Tell("recording %s: %v", "a\x1b\nhint: b", errors.New("c\nhint: d\u202e"))
	require.NoError(t, s.Printf("%s of %d\n", "x\ty", 3))
	assert.Equal(t, "recording a\\u001b\\nhint: b: c\n  hint: d\\u202e\n", seen.String())
	assert.Equal(t, "x\\ty of 3\n", printed.String())
	_, err := s.Out.Write([]byte("half \xe6"))
	require.NoError(t, err)
	s.Report(nil)
	assert.Equal(t, "x\\ty of 3\nhalf \ufffd", printed.String())
}

// TestReport_Interrupted wants a word for people in place of one for programs.
func TestReport_Interrupted(t *testing.T) {
	var complaints bytes.Buffer
	assert.Equal(t, explain.Failed, New(nil, &complaints).Report(fmt.Errorf("reading: %w", context.Canceled)))
	assert.Equal(t, "arctally: interrupted\nhint: start the command again\n", complaints.String())
}
