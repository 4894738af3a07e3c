package review

import (
	"errors"
	"iter"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/series"
)

// reusing hands out n groups in as many pieces of memory as a reader that keeps some does,
// and then an error; ended is set when it has returned.
func reusing(n int, failure error, ended *bool) iter.Seq2[*record.Group, error] {
	return func(yield func(*record.Group, error) bool) {
		defer func() { *ended = true }()
		var rooms [1 + keptAhead]record.Group
		for k := range n {
			g := &rooms[k%len(rooms)]
			if g.Blocks == nil {
				g.Blocks = []series.Block{{Kind: series.Arc}}
			}
			b := &g.Blocks[0]
			g.Number, b.Tick, b.Step = int64(k), int64(k)*100, 10
			b.V, b.I = append(b.V[:0], int32(k), 7), append(b.I[:0], int32(-k), 8)
			b.Flag = nil
			if k%2 == 1 {
				b.Flag = []bool{true, false}
			}
			if !yield(g, nil) {
				return
			}
		}
		if failure != nil {
			yield(nil, failure)
		}
	}
}

func TestAhead_handsOutWhatWasDecoded(t *testing.T) {
	failure, ended, next := errors.New("torn"), false, 0
	for g, err := range ahead(reusing(50, failure, &ended)) {
		if next == 50 {
			require.ErrorIs(t, err, failure)
			next++
			continue
		}
		require.NoError(t, err)
		if next == 20 {
			time.Sleep(50 * time.Millisecond) // what is decoded meanwhile must not be where this is
		}
		require.EqualValues(t, next, g.Number)
		b := g.Blocks[0]
		require.Equal(t, []int32{int32(next), 7}, b.V)
		require.Equal(t, []int32{int32(-next), 8}, b.I)
		require.Equal(t, next%2 == 1, b.Flag != nil)
		require.EqualValues(t, next*100+10, b.At(1))
		next++
	}
	assert.Equal(t, 51, next)
	assert.True(t, ended)
}

func TestAhead_endsWithItsReader(t *testing.T) {
	ended := false
	for g, err := range ahead(reusing(1000, nil, &ended)) {
		require.NoError(t, err)
		if g.Number == 3 {
			break
		}
	}
	assert.True(t, ended, "nobody may read on when the loop has ended")
}
