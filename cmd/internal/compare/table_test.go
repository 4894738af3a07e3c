//go:build linux

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A figure has three digits that say something, and no more.
func TestFigure(t *testing.T) {
	for value, want := range map[float64]string{0: "0", 0.6344: "0.634", 0.00123: "0.0012", 9.994: "9.99", 10: "10.0", 104.4: "104", 43210: "43210", -2.5: "-2.50"} {
		assert.Equal(t, want, figure(value))
	}
}

// A row has the median of each side and between what all of it was, and what was not
// measured is not known.
func TestTable(t *testing.T) {
	before, after := &side{name: "before"}, &side{name: "after"}
	var made table
	for _, value := range []float64{4, 1, 2} {
		made.row("reading", "all", "s", "at most 1").of(before, value)
	}
	made.row("reading", "all", "s", "at most 1").of(after, 1)
	made.row("reading", "nothing", "s", "").of(after, 3)
	made.row("writing", "all", "s", "").of(before, 1)
	made.row("writing", "all", "s", "").of(before, 2)
	var printed strings.Builder
	require.NoError(t, made.print(&printed))
	assert.Equal(t, []string{
		"", "reading unit goal before after after/before",
		"all s at most 1 2.00 (1.00..4.00) 1.00 0.50",
		"nothing s - 3.00 -",
		"", "writing unit goal before after after/before",
		"all s 1.50 (1.00..2.00) - -",
		"",
	}, squeezed(printed.String()))
}

func squeezed(text string) (lines []string) {
	for line := range strings.Lines(text) {
		lines = append(lines, strings.Join(strings.Fields(line), " "))
	}
	return append(lines, "")
}

// Another process's time is its own, and not that of who asks.
func TestProcessorTime(t *testing.T) {
	own, err := processorTime(os.Getpid())
	require.NoError(t, err)
	for sum, k := 0, 0; k < 1e7; k++ {
		sum += k
	}
	later, err := processorTime(os.Getpid())
	require.NoError(t, err)
	assert.Greater(t, later, own)
	s := &side{name: "before", folder: t.TempDir()}
	asleep := s.command(t.Context(), "sleep", []string{"60"})
	require.NoError(t, asleep.Start())
	defer func() { assert.Error(t, asleep.Wait()) }()
	other, err := processorTime(asleep.Process.Pid)
	require.NoError(t, err)
	assert.Less(t, other, 1.0)
	_, err = mostMemory(asleep.Process.Pid)
	require.NoError(t, err)
	require.NoError(t, asleep.Process.Kill())
}

// The job that is judged otherwise is the demo's, with one thing changed.
func TestJobWith(t *testing.T) {
	folder := t.TempDir()
	file, err := jobWith(folder, limitWritten, "voltage: 16.4..19.0 V")
	require.NoError(t, err)
	assert.FileExists(t, file)
	changed, err := os.ReadFile(filepath.Join(folder, procedureFile))
	require.NoError(t, err)
	assert.Contains(t, string(changed), "voltage: 16.4..19.0 V")
	assert.Contains(t, string(changed), thresholdAsked)
	_, err = jobWith(folder, "voltage: 1..2 V", "")
	require.ErrorContains(t, err, "does not say")
}

// What is compared of two judgements is everything but the name of the file.
func TestOfAnyName(t *testing.T) {
	a, b := []byte(`{"record":"a","job":"j","passes":[1]}`), []byte(`{"record":"b","job":"j","passes":[1]}`)
	assert.Equal(t, ofAnyName(a), ofAnyName(b))
	assert.NotEqual(t, ofAnyName(a), ofAnyName([]byte(`{"record":"a","job":"j","passes":[2]}`)))
	assert.NotEmpty(t, ofAnyName(a))
}
