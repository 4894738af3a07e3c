package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/record"
	"arctally/cmd/internal/jobfile"
	"arctally/report/page/live"
)

// starvedFor is how long nothing but the recorder should get a processor.
func starvedFor(t *testing.T) (during time.Duration, bounded bool) {
	t.Helper()
	text := os.Getenv("ARCTALLY_STARVED_FOR")
	if text == "" {
		return 5 * time.Second, false
	}
	during, err := time.ParseDuration(text)
	require.NoError(t, err)
	return during, true
}

// onProcessor starts what do starts on one processor alone: the first, the second ... of those
// there are, or the last one.
func onProcessor(t *testing.T, number int, do func()) {
	t.Helper()
	var all, one unix.CPUSet
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	require.NoError(t, unix.SchedGetaffinity(0, &all))
	for k := range 1024 {
		if all.IsSet(k) {
			one.Zero()
			one.Set(k)
			if number--; number < 0 {
				break
			}
		}
	}
	require.NoError(t, unix.SchedSetaffinity(0, &one))
	do()
	require.NoError(t, unix.SchedSetaffinity(0, &all))
}

// mostLate is how late a commit may be, after the second for which it waits.
const mostLate = 2 * time.Second

// weighedIn is the group in which the system weighs a process against others; empty where it
// has none.
func weighedIn(t *testing.T, process int) string {
	t.Helper()
	group, err := os.ReadFile(fmt.Sprintf("/proc/%d/autogroup", process))
	if !errors.Is(err, os.ErrNotExist) {
		require.NoError(t, err)
	}
	return string(group)
}

// asking asks for something again and again until ctx ends, and counts the answers that are
// as they should be.
func asking(ctx context.Context, url string, status int) (good *atomic.Int64, wait func()) {
	good = new(atomic.Int64)
	var work sync.WaitGroup
	work.Go(func() {
		for ctx.Err() == nil {
			request, err := http.NewRequestWithContext(ctx, http.MethodGet, url, http.NoBody)
			if err != nil {
				return
			}
			answer, err := http.DefaultClient.Do(request)
			if err != nil {
				continue
			}
			size, err := io.Copy(io.Discard, answer.Body)
			if errors.Join(err, answer.Body.Close()) == nil && answer.StatusCode == status && size > 0 {
				good.Add(1)
			}
		}
	})
	return good, work.Wait
}

// With one processor, twenty who look on, five weld records that are being made and a page that
// panics again and again, the box misses no frame. How late a commit is depends on the machine
// too: its disk, and whatever else has its processors. So another recorder, with one processor
// and nobody who looks on, records at the same time; and where it is asked for, a commit may
// be so much later than the latest of that one.
func TestApart_NothingStarvesTheRecorder(t *testing.T) {
	f, alone := newField(t, "GOMAXPROCS=1"), newField(t, "GOMAXPROCS=1")
	f.name = stumblingName
	during, bounded := starvedFor(t)
	recordMany(t, filepath.Join(f.folder, "many"+jobfile.RecordExtension), 40)
	onProcessor(t, 0, f.serve)
	onProcessor(t, 1, alone.serve)
	alone.record()
	f.record()
	f.catchUp()
	alone.catchUp()
	s := &served{t: t, program: f.program, address: f.address, folder: f.folder}
	_, leave := s.viewers(20)
	recorder := recorderOf(t, f.folder)
	assert.Equal(t, weighedIn(t, f.program.Process.Pid), weighedIn(t, recorder), "else it is not before the front, however far that stands back")
	began, front, own := time.Now(), s.usedBy(f.program.Process.Pid), s.usedBy(recorder)
	ctx, stop := context.WithTimeout(t.Context(), during)
	defer stop()
	stumbled, wait := asking(ctx, "http://"+f.address+"/api/checks/job/before?job=job", http.StatusInternalServerError)
	papers := make([]*atomic.Int64, 5)
	waits := []func(){wait}
	for k := range papers {
		papers[k], wait = asking(ctx, "http://"+f.address+"/api/records/many/file/pdf", http.StatusOK)
		waits = append(waits, wait)
	}
	for _, wait := range waits {
		wait()
	}
	took := time.Since(began)
	front, own = s.usedBy(f.program.Process.Pid)-front, s.usedBy(recorder)-own
	leave()
	ends, made := []*live.State{f.stop(), alone.stop()}, int64(0)
	f.end()
	alone.end()
	for _, p := range papers {
		made += p.Load()
	}
	for k, end := range ends {
		assert.Zero(t, end.Link.Lost, "by the numbers that box %d gives its frames", k)
		assert.Zero(t, end.Link.Damaged)
		assert.Zero(t, end.Link.Gaps)
	}
	require.NoError(t, record.Verify(f.file()))
	late, groups := lateness(t, f.file(), began)
	least, others := lateness(t, alone.file(), began)
	t.Logf("%s with %d weld records made and %d pages that panicked: %d frames, none lost; of %d commits the latest came %s after the second it waits, of %d of the recorder alone %s",
		took.Round(time.Second), made, stumbled.Load(), ends[0].Link.Frames, groups, late, others, least)
	t.Logf("of one processor the front had %s, the recorder %s", share(front, took), share(own, took))
	assert.Positive(t, stumbled.Load())
	if bounded {
		assert.Positive(t, made)
		assert.LessOrEqual(t, late, mostLate+least)
	}
}

// catchUp waits until what the box had said while the record was made is in it.
func (f *field) catchUp() {
	f.t.Helper()
	f.until("samples as they are said", func(s *live.State) bool {
		return float64(s.DurableSamples) > (f.box.Played()-2*time.Second).Seconds()*float64(f.box.Plan().SampleRate)
	})
}

func share(used, of time.Duration) string {
	return fmt.Sprintf("%.0f %%", 100*used.Seconds()/of.Seconds())
}

// lateness is how much later than the earliest a commit of a record came after the last sample
// in it, on the clocks of box and host, and how many there are; those before a time do not count.
func lateness(t *testing.T, file string, since time.Time) (late time.Duration, groups int) {
	t.Helper()
	r, err := record.Open(file)
	require.NoError(t, err)
	defer func() { assert.NoError(t, r.Close()) }()
	var delays []time.Duration
	for group, err := range r.Groups() {
		require.NoError(t, err)
		if group.Written.Before(since) {
			continue
		}
		for k := range group.Blocks {
			b := &group.Blocks[k]
			if delay := time.Duration(group.Written.UnixNano() - b.At(b.Len()-1)); k == 0 || len(delays) == 0 || delay < delays[len(delays)-1] {
				if k == 0 {
					delays = append(delays, delay)
				} else {
					delays[len(delays)-1] = delay
				}
			}
		}
	}
	require.NotEmpty(t, delays)
	least, most := delays[0], delays[0]
	for _, d := range delays {
		least, most = min(least, d), max(most, d)
	}
	return most - least, len(delays)
}
