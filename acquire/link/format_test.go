package link

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// example returns the one block of FORMAT.md that is marked with name.
func example(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile("FORMAT.md")
	require.NoError(t, err)
	_, rest, ok := strings.Cut(string(text), "```"+name+"\n")
	require.True(t, ok, "no example of %s", name)
	block, _, ok := strings.Cut(rest, "```")
	require.True(t, ok)
	return block
}

func TestFormatExamples(t *testing.T) {
	payload, frame := bytesOf(t, example(t, "payload")), bytesOf(t, example(t, "frame"))
	assert.Equal(t, frame, append(stuffed(payload), 0))
	assert.Equal(t, frame, AppendSamples(nil,
		Header{Boot: 7, Seq: 100, TickUS: 1e6, StepUS: 100}, []int16{1750, 1751}, []int16{1400, 1399}))
	assert.Equal(t, []string{"reading boot 7 seq 100 tick 1000000000\n  arc step 100000 V [1750 1751] I [1400 1399]"},
		replay(t, Binary, frame, len(frame)))

	line := Line{
		Boot: 7, Seq: 100, TickUS: 1e6,
		Voltage: Mean{24.31, true}, Current: Mean{212.4, true}, WireSpeed: Mean{8.12 / secondsPerMinute, true},
	}
	assert.Equal(t, example(t, "delimited"), string(AppendDelimited(nil, line)))
	line.Seq, line.TickUS = 123, 4567890
	assert.Equal(t, example(t, "lineprotocol"), string(AppendLineProtocol(nil, "box1", line)))
}
