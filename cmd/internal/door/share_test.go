package door

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A page at the machine itself that runs away is held up too, far above what a person asks for, and
// goes on as soon as it asks for less.
func TestShare_HereHasAnEnd(t *testing.T) {
	now := time.Unix(1, 0)
	d, err := New(Options{Now: func() time.Time { return now }})
	require.NoError(t, err)
	ask := func() bool {
		leave, refused := d.use("here", Usual.Here, 0)
		if refused == nil {
			leave()
		}
		return refused == nil
	}
	for k := range int(Usual.Here.Burst) {
		require.True(t, ask(), k)
	}
	require.False(t, ask())
	now = now.Add(time.Second)
	for k := range int(Usual.Here.Requests) {
		require.True(t, ask(), k)
	}
	require.False(t, ask())
}
