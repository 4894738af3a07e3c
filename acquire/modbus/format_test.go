package modbus

import (
	"encoding/hex"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// example returns the bytes of the block of FORMAT.md that is marked with a name.
func example(t *testing.T, name string) []byte {
	t.Helper()
	text, err := os.ReadFile("FORMAT.md")
	require.NoError(t, err)
	_, rest, ok := strings.Cut(string(text), "```"+name+"\n")
	require.True(t, ok, "no example of %s", name)
	block, _, _ := strings.Cut(rest, "```")
	p, err := hex.DecodeString(strings.Join(strings.Fields(block), ""))
	require.NoError(t, err)
	return p
}

func TestFormatExamples(t *testing.T) {
	r := Request{Unit: 1, Function: series.ReadInput, Count: BlockRegisters}
	b := Block{
		Boot: 7, Seq: 70000, TickUS: 60e6, Samples: 300_000, Energy: 105e6, Voltage: 1050e6, Current: 6300e6,
		ArcOn: 45_000, WireCount: 41_250, Volts: 17.5, Amperes: 140, WireSpeed: 0.0916667,
	}
	assert.Equal(t, example(t, "request"), r.Append(nil))
	assert.Equal(t, example(t, "answer"), r.AppendAnswer(nil, b.Registers()))
	a, end, ok := r.find(example(t, "answer"))
	require.True(t, ok)
	assert.Equal(t, r.answerSize(), end)
	read, wrong := readBlock(a.registers)
	assert.Zero(t, wrong)
	assert.Equal(t, b, read)
}
