package tape

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type marked []Mark

func (m marked) Mark() Mark          { return m[0] }
func (m marked) Number(Column) int64 { return 0 }
func (m marked) Value(any)           {}

// What does not fit is an error of the playing; what breaks otherwise breaks on.
func TestPlaying(t *testing.T) {
	require.NoError(t, Playing(func() { Expect(marked{7}, 7) }))
	err := Playing(func() { Expect(marked{7}, 8) })
	require.EqualError(t, err, "tape: 8 is asked for, and 7 comes")
	assert.PanicsWithValue(t, "else", func() { _ = Playing(func() { panic("else") }) })
}
