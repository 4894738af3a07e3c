//go:build unix

package fleet

import (
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/report/fleet/fleettest"
)

// A primary with one synchronous standby is killed while several take in. All that was
// acknowledged is on the standby, which takes its place; what is taken in again there makes
// every row once.
func TestTakeIn_primaryKilled(t *testing.T) {
	if testing.Short() {
		t.Skip("it starts two PostgreSQL")
	}
	primary := fleettest.Start(t)
	t.Cleanup(primary.Stop)
	database := primary.Database(t)
	address := primary.Address(database)
	open(t, address)
	standby := primary.Standby(t)
	t.Cleanup(standby.Stop)

	const hands, jobs, killAfter = 4, 60, 70
	job := func(n int) *Results {
		return withEvent(notProved(madeJob(n, 0.3+0.001*float64(n%7), 0.4), 1, "skew"), 2, "arc lost")
	}
	var acknowledged sync.Map
	var count atomic.Int64
	var wait sync.WaitGroup
	var ends [hands]error
	for hand := range hands {
		wait.Go(func() {
			f, err := Open(t.Context(), address)
			for n := hand * jobs; n < (hand+1)*jobs && err == nil; n++ {
				if _, err = f.TakeIn(t.Context(), []*Results{job(n)}, began); err == nil {
					acknowledged.Store(job(n).State.Head, true)
					if count.Add(1) == killAfter {
						primary.Kill()
					}
				}
			}
			if f != nil {
				_ = f.Close() // the server is gone
			}
			ends[hand] = err
		})
	}
	wait.Wait()
	for _, err := range ends {
		if err != nil { // it had not taken all of its own in
			requireNoConnection(t, err)
		}
	}
	require.GreaterOrEqual(t, count.Load(), int64(killAfter))
	require.Less(t, count.Load(), int64(hands*jobs), "it was killed while there was more to take in")

	standby.Promote(t)
	f := open(t, standby.Address(database))
	acknowledged.Range(func(digest, _ any) bool {
		require.Equal(t, 1, askCount(t, f, "SELECT count(*) FROM jobs WHERE digest = $1", digest))
		return true
	})
	for n := range hands * jobs {
		take(t, f, job(n))
	}
	require.Equal(t, hands*jobs, askCount(t, f, "SELECT count(*) FROM jobs"))
	require.Equal(t, 2*hands*jobs, askCount(t, f, "SELECT count(*) FROM fleet_passes"))
	require.Equal(t, hands*jobs, askCount(t, f, "SELECT n FROM tallies WHERE question = 'open'"))
	require.Equal(t, hands*jobs, askCount(t, f, "SELECT n FROM tallies WHERE question = 'proof' AND word = 'proved'"))
	got, err := f.Charts(t.Context(), HeatInput, ByProcedure, 1)
	require.NoError(t, err)
	require.Equal(t, int64(hands*jobs), got.Charts[0].Jobs)
	t.Logf("killed after %d of %d were acknowledged; all of these were on the standby", count.Load(), hands*jobs)
}

func askCount(t *testing.T, f *Fleet, query string, args ...any) (n int) {
	t.Helper()
	require.NoError(t, f.db.QueryRowContext(t.Context(), f.sql(query), args...).Scan(&n))
	return n
}
