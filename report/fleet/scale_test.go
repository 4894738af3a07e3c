//go:build unix

package fleet

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// asked are the questions as the commands ask them. One of them counts: it grows as what it counts does.
var asked = []struct {
	name string
	ask  func(context.Context, *Fleet) error
}{
	{"heat-input by procedure", chartsBy(HeatInput, ByProcedure)},
	{"heat-input by box", chartsBy(HeatInput, ByBox)},
	{"heat-input by operator", chartsBy(HeatInput, ByOperator)},
	{"heat-input by layer", chartsBy(HeatInput, ByLayer)},
	{"arc-on by box", chartsBy(ArcOn, ByBox)},
	{"proved", func(ctx context.Context, f *Fleet) error { _, err := f.Proved(ctx, 20); return err }},
	{"open", func(ctx context.Context, f *Fleet) error { _, err := f.Open(ctx, 20); return err }},
	{"calibrations", func(ctx context.Context, f *Fleet) error { _, err := f.Calibrations(ctx, began, 60, 20); return err }},
	{"since the day before", since(began.Add(time.Hour))},
	{sinceEver, since(began.AddDate(0, 0, -1))},
}

const sinceEver = "since ever"

func since(at time.Time) func(context.Context, *Fleet) error {
	return func(ctx context.Context, f *Fleet) error { _, err := f.Since(ctx, at, 20); return err }
}

func chartsBy(m Measure, s Side) func(context.Context, *Fleet) error {
	return func(ctx context.Context, f *Fleet) error { _, err := f.Charts(ctx, m, s, 20); return err }
}

// fill takes a made fleet in, jobs of ten passes, many at a time; the last ones a day after the others.
func fill(t testing.TB, f *Fleet, passes int) {
	var waiting []*Results
	left := passes / 10
	flush := func() {
		at := began
		if left -= len(waiting); left == 0 {
			at = began.AddDate(0, 0, 1)
		}
		_, err := f.TakeIn(t.Context(), waiting, at)
		require.NoError(t, err)
		waiting = nil
	}
	madeFleet(passes/10, 10, func(r *Results) {
		if waiting = append(waiting, r); len(waiting) == min(500, left) {
			flush()
		}
	})
}

// spent is the processor time of this program, and of the server's process where there is one.
func spent(t testing.TB, f *Fleet) time.Duration {
	var self syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &self))
	all := time.Duration(self.Utime.Nano() + self.Stime.Nano())
	if f.engine == &postgres {
		var pid int
		require.NoError(t, f.db.QueryRowContext(t.Context(), "SELECT pg_backend_pid()").Scan(&pid))
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
		require.NoError(t, err)
		fields := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+1:]))
		for _, field := range fields[11:13] { // utime and stime, in hundredths of a second
			n, err := strconv.Atoi(field)
			require.NoError(t, err)
			all += time.Duration(n) * 10 * time.Millisecond
		}
	}
	return all
}

const askedTimes = 50

// measure is the processor time of each question, by its name, on average.
func measure(t testing.TB, f *Fleet) map[string]time.Duration {
	f.db.SetMaxOpenConns(1) // one process of the server answers
	all := map[string]time.Duration{}
	for _, q := range asked {
		require.NoError(t, q.ask(t.Context(), f), q.name)
		before := spent(t, f)
		for range askedTimes {
			require.NoError(t, q.ask(t.Context(), f), q.name)
		}
		all[q.name] = (spent(t, f) - before) / askedTimes
	}
	return all
}

// TestScale measures each question over made fleets of as many passes as ARCTALLY_FLEET_PASSES
// names, 10000,1000000. An answer may not grow as the passes do: a hundred times as many cost
// less than twenty times as much. Since ever alone has all of them in its answer, as their number, and
// may grow as they do. Beside that stands what a clock of hundredths of a second leaves open.
func TestScale(t *testing.T) {
	sizes := os.Getenv("ARCTALLY_FLEET_PASSES")
	if sizes == "" {
		t.Skip("ARCTALLY_FLEET_PASSES=10000,1000000 names the sizes that are measured")
	}
	engines(t, func(t *testing.T, _ string) {
		var first map[string]time.Duration
		var fewest int
		for _, size := range strings.Split(sizes, ",") {
			passes, err := strconv.Atoi(size)
			require.NoError(t, err)
			address := filepath.Join(t.TempDir(), "made.sqlite")
			if strings.HasSuffix(t.Name(), "postgres") {
				address = postgresDatabase(t)
			}
			f := open(t, address)
			began, start := spent(t, f), time.Now()
			fill(t, f, passes)
			t.Logf("%d passes: taken in with %v of processor time here, in %v; jobs %d, open events %d, charts %d, points %d", passes, spent(t, f)-began, time.Since(start).Round(time.Second),
				count(t, f, "SELECT count(*) FROM jobs"), count(t, f, "SELECT sum(n) FROM tallies WHERE question = 'open'"), count(t, f, "SELECT count(*) FROM charts"), count(t, f, "SELECT count(*) FROM points"))
			if info, err := os.Stat(address); err == nil {
				t.Logf("%d passes: the file has %d MB", passes, info.Size()>>20)
			}
			took := measure(t, f)
			for _, q := range asked {
				growth := ""
				if first != nil {
					most := time.Duration(20)
					if q.name == sinceEver {
						most = time.Duration(passes / fewest)
					}
					assert.Less(t, took[q.name], most*first[q.name]+2*time.Millisecond, q.name)
					growth = fmt.Sprintf(", %.1f times", float64(took[q.name])/float64(first[q.name]))
				}
				t.Logf("%d passes: %-24s %6.1f ms%s", passes, q.name, float64(took[q.name].Microseconds())/1000, growth)
			}
			if first == nil {
				first, fewest = took, passes
			}
		}
	})
}
