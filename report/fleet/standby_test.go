//go:build unix

package fleet

import (
	"context"
	"strconv"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/require"
)

// startStandby starts a second server that has all that the first one has, and without whose
// word the first one commits nothing from then on.
func (c *cluster) startStandby(t *testing.T) *cluster {
	t.Helper()
	standby := newCluster(t)
	standby.run(t, "pg_basebackup", "-h", c.folder, "-p", strconv.Itoa(postgresPort), "-U", "made", "-D", standby.data(), "-R", "-X", "stream", "--no-sync", "-c", "fast")
	standby.start(t)
	connection, err := pgx.Connect(t.Context(), c.address("postgres"))
	require.NoError(t, err)
	defer func() { require.NoError(t, connection.Close(t.Context())) }()
	for _, one := range []string{"ALTER SYSTEM SET synchronous_standby_names = '*'", "SELECT pg_reload_conf()"} {
		_, err = connection.Exec(t.Context(), one)
		require.NoError(t, err)
	}
	require.Eventually(t, func() bool {
		n := 0
		err := connection.QueryRow(context.Background(), "SELECT count(*) FROM pg_stat_replication WHERE sync_state = 'sync'").Scan(&n)
		return err == nil && n == 1
	}, 2*time.Minute, 20*time.Millisecond)
	return standby
}

// A primary with one synchronous standby is killed while several take in. All that was
// acknowledged is on the standby, which takes its place; what is taken in again there makes
// every row once.
func TestTakeIn_primaryKilled(t *testing.T) {
	if testing.Short() {
		t.Skip("it starts two PostgreSQL")
	}
	primary := startCluster(t)
	t.Cleanup(primary.stop)
	address := primary.database(t)
	open(t, address)
	standby := primary.startStandby(t)
	t.Cleanup(standby.stop)

	const hands, jobs, killAfter = 4, 60, 70
	job := func(n int) *Results {
		return withEvent(notProved(madeJob(n, 0.3+0.001*float64(n%7), 0.4), 1, "skew"), 2, "arc lost")
	}
	var acknowledged sync.Map
	var count atomic.Int64
	var wait sync.WaitGroup
	for hand := range hands {
		wait.Go(func() {
			f, err := Open(t.Context(), address)
			for n := hand * jobs; n < (hand+1)*jobs && err == nil; n++ {
				if _, err = f.TakeIn(t.Context(), []*Results{job(n)}, began); err == nil {
					acknowledged.Store(job(n).State.Head, true)
					if count.Add(1) == killAfter {
						err = primary.process.Process.Signal(syscall.SIGKILL)
					}
				}
			}
			if f != nil {
				_ = f.Close() // the server is gone
			}
		})
	}
	wait.Wait()
	require.GreaterOrEqual(t, count.Load(), int64(killAfter))
	require.Less(t, count.Load(), int64(hands*jobs), "it was killed while there was more to take in")

	standby.run(t, "pg_ctl", "promote", "-w", "-D", standby.data())
	was, err := pgx.ParseConfig(address)
	require.NoError(t, err)
	f := open(t, standby.address(was.Database))
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
