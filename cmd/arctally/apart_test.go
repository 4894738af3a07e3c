package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/apart"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page/live"
)

// recorderOf is the process that records a job of a folder; 0 is none.
func recorderOf(t *testing.T, folder string) int {
	t.Helper()
	folder, err := filepath.EvalSymlinks(folder)
	require.NoError(t, err)
	names, err := filepath.Glob("/proc/[0-9]*/cmdline")
	require.NoError(t, err)
	for _, name := range names {
		said, _ := os.ReadFile(name) // who has ended meanwhile is not it
		in, _ := os.Readlink(filepath.Join(filepath.Dir(name), "cwd"))
		if strings.HasSuffix(strings.TrimRight(string(said), "\x00"), "\x00"+apart.Role) && in == folder {
			process, err := strconv.Atoi(filepath.Base(filepath.Dir(name)))
			require.NoError(t, err)
			return process
		}
	}
	return 0
}

// field is a program that serves a folder, and a box beside it that lays in real time and
// knows nothing of who listens.
type field struct {
	t       *testing.T
	folder  string
	address string
	port    string
	env     []string
	program *exec.Cmd
}

func newField(t *testing.T, env ...string) *field {
	t.Helper()
	if testing.Short() {
		t.Skip("it records for a while")
	}
	job := jobtest.Folder(t)
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	plan := virtualbox.Plan(p, 1, nil)
	plan.PlaySpeed = 1
	box, err := sensorbox.New(plan)
	require.NoError(t, err)
	l, err := new(net.ListenConfig).Listen(t.Context(), "tcp", "127.0.0.1:0")
	require.NoError(t, err)
	f := &field{t: t, folder: filepath.Dir(job), address: l.Addr().String()}
	require.NoError(t, l.Close())
	f.env = append(append(os.Environ(), "XDG_CACHE_HOME="+t.TempDir(), "XDG_CONFIG_HOME="+t.TempDir()), env...)
	f.port, err = box.Open()
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	played := make(chan error, 1)
	go func() {
		_, err := box.Play(ctx)
		played <- err
	}()
	t.Cleanup(func() {
		stop()
		assert.ErrorIs(t, <-played, context.Canceled)
		assert.NoError(t, box.Close())
	})
	return f
}

// serve starts the program, which may be found by others only on one processor.
func (f *field) serve() {
	f.t.Helper()
	program := os.Getenv("ARCTALLY")
	if program == "" {
		var err error
		program, err = os.Executable()
		require.NoError(f.t, err)
	}
	f.program = &exec.Cmd{Path: program, Args: []string{"arctally", "serve", "--listen", f.address, f.folder}, Env: f.env}
	require.NoError(f.t, f.program.Start())
}

// end ends the program as a person does.
func (f *field) end() {
	f.t.Helper()
	require.NoError(f.t, f.program.Process.Signal(unix.SIGINT))
	require.NoError(f.t, f.program.Wait())
	assert.Zero(f.t, recorderOf(f.t, f.folder), "nobody is left behind")
}

// state is how the recording stands; nil is that nobody answers, or nothing was recorded.
func (f *field) state() (s *live.State) {
	_, text, err := askOnce(http.MethodGet, "http://"+f.address+"/api/recording", "")
	if err != nil || json.Unmarshal(text, &s) != nil {
		return nil
	}
	return s
}

// until asks how the recording stands until it is as it should be.
func (f *field) until(what string, good func(*live.State) bool) *live.State {
	f.t.Helper()
	var s *live.State
	for deadline := time.Now().Add(longest); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		if s = f.state(); s != nil && good(s) {
			return s
		}
	}
	f.t.Fatalf("no %s: %+v", what, s)
	return nil
}

// record begins to record.
func (f *field) record() {
	f.t.Helper()
	deadline := time.Now().Add(longest)
	for {
		status, _, err := askOnce(http.MethodPost, "http://"+f.address+"/api/recording", `{"job":"job","port":"`+f.port+`"}`)
		if err == nil && status == http.StatusCreated {
			break
		}
		require.True(f.t, time.Now().Before(deadline), "%d %v", status, err)
		time.Sleep(20 * time.Millisecond)
	}
	f.until("samples", func(s *live.State) bool { return s.DurableSamples > 0 })
}

// stop ends the recording, and returns its last state.
func (f *field) stop() *live.State {
	f.t.Helper()
	status, text, err := askOnce(http.MethodDelete, "http://"+f.address+"/api/recording", "")
	require.NoError(f.t, err)
	require.Equal(f.t, http.StatusOK, status, string(text))
	return f.until("the end", func(s *live.State) bool { return s.Phase == live.Ended })
}

func (f *field) file() string { return filepath.Join(f.folder, "job"+jobfile.RecordExtension) }

// kills is how often each kind of process is killed.
func kills(t *testing.T) int {
	t.Helper()
	text := os.Getenv("ARCTALLY_KILLS")
	if text == "" {
		return 2
	}
	n, err := strconv.Atoi(text)
	require.NoError(t, err)
	return n
}

// Whichever process is killed, whenever that is: nothing that was acknowledged is lost, the
// recording goes on, the record says what is missing, and it is judged as the pages showed it.
func TestApart_KilledInTurn(t *testing.T) {
	f := newField(t)
	f.serve()
	f.record()
	random := rand.New(rand.NewPCG(13, 7))
	n := kills(t)
	for k := range 2 * n {
		time.Sleep(time.Duration(random.IntN(400)) * time.Millisecond)
		before := f.until("samples", func(s *live.State) bool { return s.Phase == live.Running && s.DurableSamples > 0 })
		recorder := recorderOf(t, f.folder)
		require.NotZero(t, recorder)
		if k%2 == 0 {
			require.NoError(t, unix.Kill(recorder, unix.SIGKILL))
			f.until("samples of another recorder", func(s *live.State) bool {
				return s.Epoch > before.Epoch && s.DurableSamples > before.DurableSamples
			})
			require.NotEqual(t, recorder, recorderOf(t, f.folder))
			continue
		}
		require.NoError(t, f.program.Process.Kill())
		require.Error(t, f.program.Wait())
		f.serve()
		after := f.until("samples for another front", func(s *live.State) bool { return s.DurableSamples > before.DurableSamples })
		require.Equal(t, recorder, recorderOf(t, f.folder), "it has gone on")
		require.Equal(t, before.Epoch, after.Epoch)
	}
	last := f.until("an alarm", func(s *live.State) bool { return len(s.Alarms) > 0 })
	assert.Contains(t, fmt.Sprint(last.Alarms), ") and was started again: what came between is missing")
	end := f.stop()
	f.end()
	require.NoError(t, record.Verify(f.file()))
	r, err := review.Judge(t.Context(), f.file(), "", func(float64) {})
	require.NoError(t, err)
	defer func() { assert.NoError(t, r.Close()) }()
	assert.Equal(t, end.Counts.Passes, len(r.Result.Passes))
	assert.Equal(t, end.Counts.Findings, len(r.Result.Findings))
	spans, err := r.Epochs()
	require.NoError(t, err)
	require.Len(t, spans, n+1, "each recorder has an epoch of its own")
	var samples int64
	for _, s := range spans {
		samples += s.Samples
	}
	assert.GreaterOrEqual(t, samples, end.DurableSamples, "all that was acknowledged is there")
	events, err := r.Events()
	require.NoError(t, err)
	said := 0
	for _, e := range events {
		if strings.HasPrefix(e.Text, "The program that records had died (") {
			said++
		}
	}
	assert.Equal(t, n, said)
}

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

// onOneProcessor starts what do starts on the first processor alone.
func onOneProcessor(t *testing.T, do func()) {
	t.Helper()
	var all, one unix.CPUSet
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	require.NoError(t, unix.SchedGetaffinity(0, &all))
	for k := range 1024 {
		if all.IsSet(k) {
			one.Set(k)
			break
		}
	}
	require.NoError(t, unix.SchedSetaffinity(0, &one))
	do()
	require.NoError(t, unix.SchedSetaffinity(0, &all))
}

// mostLate is how late a commit may be, after the second for which it waits.
const mostLate = 2 * time.Second

// With one processor, twenty who look on and five weld records that are being made, the box
// misses no frame. How late a commit is depends on the machine too, and is held only where
// that is asked for.
func TestApart_NothingStarvesTheRecorder(t *testing.T) {
	f := newField(t, "GOMAXPROCS=1")
	during, bounded := starvedFor(t)
	recordMany(t, filepath.Join(f.folder, "many"+jobfile.RecordExtension), 40)
	onOneProcessor(t, f.serve)
	f.record()
	s := &served{t: t, program: f.program, address: f.address, folder: f.folder}
	_, leave := s.viewers(20)
	ctx, stop := context.WithTimeout(t.Context(), during)
	defer stop()
	var work sync.WaitGroup
	var mu sync.Mutex
	papers := 0
	for range 5 {
		work.Go(func() {
			for ctx.Err() == nil {
				request, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+f.address+"/api/records/many/file/pdf", http.NoBody)
				if err != nil {
					return
				}
				answer, err := http.DefaultClient.Do(request)
				if err != nil {
					continue
				}
				size, err := io.Copy(io.Discard, answer.Body)
				if errors.Join(err, answer.Body.Close()) == nil && answer.StatusCode == http.StatusOK && size > 0 {
					mu.Lock()
					papers++
					mu.Unlock()
				}
			}
		})
	}
	work.Wait()
	leave()
	end := f.stop()
	f.end()
	assert.Zero(t, end.Link.Lost, "by the numbers that the box gives its frames")
	assert.Zero(t, end.Link.Damaged)
	assert.Zero(t, end.Link.Gaps)
	require.NoError(t, record.Verify(f.file()))
	late, groups := lateness(t, f.file())
	t.Logf("%s with %d weld records made: %d frames, none lost; of %d commits the latest came %s after the second it waits", during, papers, end.Link.Frames, groups, late)
	if bounded {
		assert.Positive(t, papers)
		assert.LessOrEqual(t, late, mostLate)
	}
}

// lateness is how much later than the earliest a commit of a record came after the last sample
// in it, on the clocks of box and host, and how many there are.
func lateness(t *testing.T, file string) (late time.Duration, groups int) {
	t.Helper()
	r, err := record.Open(file)
	require.NoError(t, err)
	defer func() { assert.NoError(t, r.Close()) }()
	var delays []time.Duration
	for group, err := range r.Groups() {
		require.NoError(t, err)
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
