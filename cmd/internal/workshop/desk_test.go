package workshop

import (
	"context"
	"errors"
	"sync"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// At a desk so many work at once, whoever waits comes next, and who has gone never begins.
func TestDesk(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		d, let := make(desk, 2), make(chan struct{})
		var mu sync.Mutex
		at, most, done := 0, 0, 0
		work := func() error {
			mu.Lock()
			at++
			most = max(most, at)
			mu.Unlock()
			<-let
			mu.Lock()
			at, done = at-1, done+1
			mu.Unlock()
			return nil
		}
		var all sync.WaitGroup
		for range 20 {
			all.Go(func() { assert.NoError(t, d.do(t.Context(), work)) })
		}
		synctest.Wait()
		ctx, goAway := context.WithCancel(t.Context())
		all.Go(func() { assert.ErrorIs(t, d.do(ctx, work), context.Canceled) })
		synctest.Wait()
		goAway()
		synctest.Wait()
		close(let)
		all.Wait()
		assert.Equal(t, 2, most)
		assert.Equal(t, 20, done)
		require.ErrorIs(t, d.do(ctx, work), context.Canceled, "there is room, and nobody waits")
		wrong := errors.New("wrong")
		require.ErrorIs(t, d.do(t.Context(), func() error { return wrong }), wrong)
		assert.Empty(t, d)
	})
}
