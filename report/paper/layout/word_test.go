package layout

import (
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A word of many letters, which a stranger may have written, costs what its length is: four
// times the letters are four times the measuring, and not sixteen. It is counted in bytes that
// were measured, for each measuring has a text of its own.
func TestWrap_ALongWordCostsItsLength(t *testing.T) {
	d := someDocument()
	measured := func(letters int) float64 {
		var before, after runtime.MemStats
		word := strings.Repeat("m", letters)
		runtime.ReadMemStats(&before)
		lines := d.wrap(word, bodyLook, 100)
		runtime.ReadMemStats(&after)
		require.Equal(t, word, strings.Join(lines, ""))
		return float64(after.TotalAlloc - before.TotalAlloc)
	}
	measured(100)
	assert.Less(t, measured(64_000), 6*measured(16_000))
}
