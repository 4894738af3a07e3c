package join

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is handed on is the same for any order in which the boxes are heard, and where it
// is read from a record.
func TestJoin_anyOrder(t *testing.T) {
	for seed := range uint64(4) {
		said := world(seed)
		want := read(t, said, false)
		require.Greater(t, len(want.lines), 60_000)
		for k := range uint64(5) {
			got, late := live(t, order(said, 10*seed+k, time.Duration(k)*time.Second))
			require.False(t, late, "seed %d, %d", seed, k)
			first := 0
			for first < min(len(want.lines), len(got.lines)) && want.lines[first] == got.lines[first] {
				first++
			}
			require.Equal(t, want.lines[first:min(len(want.lines), first+3)], got.lines[first:min(len(got.lines), first+3)], "seed %d, %d, after %d of %d", seed, k, first, len(want.lines))
			assert.ElementsMatch(t, want.events, got.events)
		}
	}
}
