package terminal

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

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
			terminal := &Screen{Err: &seen, live: test.live, Now: func() time.Time { return now }}
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

// TestReport_Interrupted wants a word for people in place of one for programs.
func TestReport_Interrupted(t *testing.T) {
	var complaints bytes.Buffer
	assert.Equal(t, explain.Failed, New(nil, &complaints).Report(fmt.Errorf("reading: %w", context.Canceled)))
	assert.Equal(t, "arctally: interrupted\nhint: start the command again\n", complaints.String())
}
