package now

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
)

func TestStateOf(t *testing.T) {
	both := quantity.Range[quantity.Volts]{Low: 10, High: 20, HasLow: true, HasHigh: true}
	for v, want := range map[quantity.Volts]WindowState{9.99: Outside, 10: NearEdge, 10.9: NearEdge, 11.1: Inside, 18.9: Inside, 19.1: NearEdge, 20: NearEdge, 20.1: Outside} {
		require.Equal(t, want, stateOf(v, both), "%v", v)
	}
	top := quantity.Range[quantity.Celsius]{High: 250, HasHigh: true}
	require.Equal(t, NearEdge, stateOf(quantity.Celsius(226), top))
	require.Equal(t, Inside, stateOf(quantity.Celsius(-226), top))
	require.Empty(t, stateOf(quantity.Celsius(226), quantity.Range[quantity.Celsius]{}))
}
