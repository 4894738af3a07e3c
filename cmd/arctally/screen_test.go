package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"testing"
	"time"

	"arctally/cmd/internal/explain"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseMixed(t *testing.T) {
	for _, test := range []struct {
		id       string
		args     []string
		operands []string
		json     bool
		file     string
	}{
		{"none", nil, nil, false, ""},
		{"before", []string{"--json", "-o", "x", "r"}, []string{"r"}, true, "x"},
		{"after", []string{"r", "--json", "-o", "x"}, []string{"r"}, true, "x"},
		{"between", []string{"r", "-o=x", "s", "--json"}, []string{"r", "s"}, true, "x"},
		{"ended", []string{"-o", "x", "--", "--json", "-o"}, []string{"--json", "-o"}, false, "x"},
		{"ended-after-operand", []string{"r", "--", "--json"}, []string{"r", "--json"}, false, ""},
		{"dash", []string{"-", "--json"}, []string{"-"}, true, ""},
	} {
		t.Run(test.id, func(t *testing.T) {
			flags := flag.NewFlagSet("x", flag.ContinueOnError)
			json := flags.Bool("json", false, "")
			file := flags.String("o", "", "")
			operands, err := parseMixed(flags, test.args)
			require.NoError(t, err)
			assert.Equal(t, test.operands, operands)
			assert.Equal(t, test.json, *json)
			assert.Equal(t, test.file, *file)
		})
	}
}

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
			terminal := &screen{err: &seen, live: test.live, now: func() time.Time { return now }}
			bar := terminal.progress("reading")
			last := 2100 * time.Millisecond // one second shows the first line, two the second
			if !test.live {
				last = 6100 * time.Millisecond
			}
			for ; now.Sub(time.Unix(0, 0)) < last; now = now.Add(50 * time.Millisecond) {
				if elapsed := now.Sub(time.Unix(0, 0)); elapsed%time.Second == 0 {
					bar.show(elapsed.Seconds() / 100)
				}
			}
			bar.clear()
			assert.Equal(t, test.want, seen.String())
		})
	}
}

func TestWait(t *testing.T) {
	var seen bytes.Buffer
	terminal := newScreen(&seen, &seen)
	failed := errors.New("failed")
	assert.ErrorIs(t, terminal.wait(t.Context(), "reading", func() error { return failed }), failed)
	assert.NoError(t, terminal.wait(t.Context(), "reading", func() error { return nil }))
	assert.Empty(t, seen.String(), "short work needs no word")
	ctx, stop := context.WithCancel(t.Context())
	stop()
	blocked := make(chan struct{})
	defer close(blocked)
	assert.ErrorIs(t, terminal.wait(ctx, "reading", func() error { <-blocked; return nil }), context.Canceled)
}

// TestReport_Interrupted wants a word for people in place of one for programs.
func TestReport_Interrupted(t *testing.T) {
	var complaints bytes.Buffer
	assert.Equal(t, explain.Failed, newScreen(nil, &complaints).report(fmt.Errorf("reading: %w", context.Canceled)))
	assert.Equal(t, "arctally: interrupted\nhint: start the command again\n", complaints.String())
}

func TestCommands_Help(t *testing.T) {
	require.NotEmpty(t, commands())
	for _, c := range commands() {
		t.Run(c.name, func(t *testing.T) {
			var out, complaints bytes.Buffer
			assert.Zero(t, run(t.Context(), []string{c.name, "--help"}, &out, &complaints))
			assert.Empty(t, complaints.String())
			for _, part := range []string{c.summary, "Usage: arctally " + c.name, "Flags:", "Example:\n  arctally " + c.name, "EXIT STATUS"} {
				assert.Contains(t, out.String(), part)
			}
			assert.Equal(t, c.findings, bytes.Contains(out.Bytes(), []byte("findings are open")))
		})
	}
}
