//go:build linux

package main

import (
	"context"
	"encoding/json"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/outbox"
	"arctally/report/fleet"
	"arctally/report/fleet/fleettest"
	"arctally/report/handover"
	"arctally/report/handover/storetest"
)

// How many hand over at once, and how many of these by hand; how many take in.
const (
	tabletsAtOnce = 20
	tabletsByHand = 3
	takersAtOnce  = 2
)

// number reads one from the environment, where it stands there.
func number(name string, usual int) int {
	if given, err := strconv.Atoi(os.Getenv(name)); err == nil {
		return given
	}
	return usual
}

// seeded draws what is killed when, as ARCTALLY_SEED says; it says itself what that was.
func seeded(t *testing.T) *rand.Rand {
	t.Helper()
	seed := number("ARCTALLY_SEED", int(rand.Int32()))
	t.Logf("ARCTALLY_SEED=%d", seed)
	return rand.New(rand.NewPCG(uint64(seed), 0))
}

// works is the whole of it: tablets, the store, those who take in from it, and where to.
type works struct {
	t        *testing.T
	where    string
	jobs     int
	store    *storetest.Engine
	tablets  []*tablet
	links    []*storetest.Link // one a tablet
	takers   []*life
	primary  *fleettest.Server
	standby  *fleettest.Server // nil once it has taken the place of the first one
	counting string            // where the database is now
	random   *rand.Rand
	round    int
	down     [tabletsAtOnce]int // until which round a link is cut
	bag      []trouble          // what is still to come before anything comes again
	did      map[string]int

	held  sync.Mutex
	news  map[string]int // how often a digest was said to be new
	whole int            // takings in that found all jobs, to their end
}

// TestEngine_TwentyTablets has twenty tablets hand their jobs over at once, while two programs take them from
// the store into a PostgreSQL with one synchronous standby, and all of these are killed in turn and the links
// are cut: each job is in the store once, whole, and each of its rows is in the database once.
//
// ARCTALLY_JOBS says how many jobs, and ARCTALLY_SEED has the same things killed in the same order again.
func TestEngine_TwentyTablets(t *testing.T) {
	store := storetest.Start(t)
	jobs := number("ARCTALLY_JOBS", 200)
	require.Zero(t, jobs%tabletsAtOnce, "each tablet has as many jobs as any other")
	random := seeded(t)
	storetest.Use(t, store)
	w := &works{
		t: t, where: "s3://" + storetest.Bucket + "/shop", jobs: jobs, store: store, random: random,
		did: map[string]int{}, news: map[string]int{},
	}
	w.primary = fleettest.Start(t)
	t.Cleanup(w.primary.Stop)
	w.standby = w.primary.Standby(t)
	t.Cleanup(w.standby.Stop)
	w.counting = w.primary.Address(w.primary.Database(t), w.standby)
	for k := range tabletsAtOnce {
		w.links = append(w.links, storetest.NewLink(t, store.Address, random.Uint64()))
		b := newTablet(t, k, jobs/tabletsAtOnce, w.links[k].Address)
		b.byHand = k >= tabletsAtOnce-tabletsByHand
		w.tablets = append(w.tablets, b)
	}
	w.beginWithWrongKeys(w.tablets[0])
	for _, b := range w.tablets {
		t.Cleanup(b.end)
		b.begin(w.where)
	}
	for range takersAtOnce {
		w.take()
	}
	w.troubles()
	w.tell()
	w.requireOnceAndWhole()
}

// beginWithWrongKeys has a tablet find out that the store does not take its keys: it says so, and goes on waiting.
func (w *works) beginWithWrongKeys(b *tablet) {
	right := b.environment
	b.environment = append(right[:len(right):len(right)], "AWS_SECRET_ACCESS_KEY=another one", "AWS_ENDPOINT_URL="+w.store.URL())
	wrong := &tablet{folder: b.folder, environment: b.environment, said: b.said}
	b.environment = right
	wrong.begin(w.where)
	defer wrong.end()
	require.Eventually(w.t, func() bool {
		list, err := outbox.Read(b.folder)
		return err == nil && len(list.Rows) > 0 && strings.Contains(list.Rows[0].Says, "the store does not take the keys") && list.Rows[0].State == outbox.Waits
	}, longest, 20*time.Millisecond)
	require.Zero(w.t, b.given())
}

// take has one more program take in, again and again, until all is there.
func (w *works) take() {
	l, first := new(life), true
	w.takers = append(w.takers, l)
	w.t.Cleanup(l.end)
	said, err := os.Create(filepath.Join(w.t.TempDir(), "said"))
	require.NoError(w.t, err)
	l.live(func() *exec.Cmd {
		if !first {
			time.Sleep(time.Second) // not all of the machine is for looking whether there is something new
		}
		first = false
		c := exec.CommandContext(context.Background(), "arctally", "fleet", "take-in", w.where, "--into", w.counting, "--json")
		c.Env, c.Stderr = append(os.Environ(), "XDG_CACHE_HOME="+w.t.TempDir()), said
		return c
	}, func(printed []byte, err error) bool {
		var told takenIn
		if json.Unmarshal(printed, &told) != nil {
			return false // it was killed before it could say anything
		}
		w.held.Lock()
		defer w.held.Unlock()
		for _, one := range told.States {
			switch one.Outcome {
			case fleet.New:
				w.news[one.Digest]++
			case fleet.Already:
			default:
				assert.Fail(w.t, "a job is neither new nor there already", "%v", one)
			}
		}
		if err != nil || len(told.States) < w.jobs {
			return false
		}
		w.whole++
		return true
	})
}

// allTaken tells whether all who take in have found all jobs there.
func (w *works) allTaken() bool {
	w.held.Lock()
	defer w.held.Unlock()
	return w.whole == takersAtOnce
}

func (w *works) given() (n int) {
	for _, b := range w.tablets {
		n += b.given()
	}
	return n
}

// taken is how many jobs are in the database, -1 where it does not answer.
func (w *works) taken() (n int) {
	ctx, stop := context.WithTimeout(context.Background(), standstill)
	defer stop()
	connection, err := pgx.Connect(ctx, w.counting)
	if err != nil {
		return -1
	}
	defer func() { _ = connection.Close(ctx) }() // it was only asked
	if err = connection.QueryRow(ctx, "SELECT count(*) FROM arctally.jobs").Scan(&n); err != nil {
		return -1
	}
	return n
}

// requireOnceAndWhole holds store, database and tablets against what the tablets had.
func (w *works) requireOnceAndWhole() {
	t := w.t
	made := map[string][]byte{}
	quiet := filepath.Join(t.TempDir(), "quiet.sqlite")
	for _, b := range w.tablets {
		b.requireSaysGiven(t)
		for digest, content := range b.digests {
			require.Nil(t, made[digest], "two jobs are the same")
			made[digest] = content
		}
		b.do(t, "fleet", "take-in", b.folder, "--into", quiet)
	}
	require.Equal(t, w.jobs, len(made))
	requireGiven(t, w.where, made)
	w.requireNothingElse(made)
	for digest, times := range w.news {
		require.Equal(t, 1, times, "%s was new twice", digest)
	}
	got, want := readFleet(t, "pgx", w.counting), readFleet(t, "sqlite", quiet)
	t.Logf("rows: %v", got.counts)
	for _, table := range []string{"jobs", "passes", "findings", "events", "dispositions", "calibrations", "boxes"} {
		require.NotZero(t, got.counts[table], table)
	}
	require.Equal(t, w.jobs, got.counts["jobs"])
	requireSame(t, want, got)
}

// requireNothingElse wants the bucket, as it lies on the disk of the store, to have files of these bundles alone,
// and no upload that was begun and not ended.
func (w *works) requireNothingElse(made map[string][]byte) {
	t := w.t
	bucket := filepath.Join(w.store.Folder, storetest.Bucket)
	require.NoError(t, filepath.WalkDir(bucket, func(file string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		within, err := filepath.Rel(filepath.Join(bucket, "shop"), file)
		if digest, _, _ := strings.Cut(within, "/"); made[digest] == nil {
			assert.Fail(t, "something else is in the store", file)
		}
		return err
	}))
	client, err := minio.NewCore(w.store.Address, &minio.Options{Creds: credentials.NewStaticV4(storetest.Key, storetest.Secret, ""), Region: storetest.Region})
	require.NoError(t, err)
	uploads, err := client.ListMultipartUploads(t.Context(), storetest.Bucket, "", "", "", "", 1000)
	require.NoError(t, err)
	require.Empty(t, uploads.Uploads)
	store, err := handover.Open(w.where)
	require.NoError(t, err)
	names, err := store.Names(t.Context())
	require.NoError(t, err)
	require.Len(t, names, len(made))
}
