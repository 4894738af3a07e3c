//go:build linux

package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/apart/aparttest"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/virtualbox"
)

// What viewers may cost a program that records 2 x 10 kHz.
const (
	mostMore   = 0.04     // of a core, 20 of them
	mostMemory = 80 << 20 // bytes of the program and its recorder, what they share counted once
	mostToEach = 12 << 10 // bytes a second that one of them is sent
)

// served is a program of its own that records from a virtual box, in real time.
type served struct {
	t       *testing.T
	program *exec.Cmd
	address string
	folder  string // that is served
}

// recordServed has a program serve the demo's job, and record it.
func recordServed(t *testing.T) *served {
	t.Helper()
	job := jobtest.Folder(t)
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	plan := virtualbox.Plan(p, 1, nil)
	plan.PlaySpeed = 1
	box, err := sensorbox.New(plan)
	require.NoError(t, err)
	port, err := box.Open()
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	played := make(chan error, 1)
	go func() {
		_, err := box.Play(ctx)
		played <- err
	}()
	l, err := new(net.ListenConfig).Listen(t.Context(), "tcp", "127.0.0.1:0")
	require.NoError(t, err)
	s := &served{t: t, address: l.Addr().String(), folder: filepath.Dir(job)}
	require.NoError(t, l.Close())
	program := os.Getenv("ARCTALLY")
	if program == "" {
		program, err = os.Executable()
		require.NoError(t, err)
	}
	s.program = &exec.Cmd{Path: program, Args: []string{"arctally", "serve", "--listen", s.address, filepath.Dir(job)}}
	require.NoError(t, s.program.Start())
	t.Cleanup(func() {
		stop()
		assert.ErrorIs(t, <-played, context.Canceled)
		assert.NoError(t, s.program.Process.Signal(unix.SIGINT))
		assert.NoError(t, s.program.Wait())
		assert.NoError(t, box.Close())
	})
	s.until("samples", "/api/recording", regexp.MustCompile(`"phase":"recording"`), func() {
		answer, err := http.Post("http://"+s.address+"/api/recording", "application/json", strings.NewReader(`{"job":"job","port":"`+port+`"}`))
		if err == nil {
			_ = answer.Body.Close() // that it is recording is asked for next
		}
	})
	return s
}

// until asks again and again until an answer says what it is to say.
func (s *served) until(what, path string, says *regexp.Regexp, before func()) {
	s.t.Helper()
	deadline := time.Now().Add(longest)
	for time.Now().Before(deadline) {
		before()
		if _, text, err := askOnce(http.MethodGet, "http://"+s.address+path, ""); err == nil && says.Match(text) {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	s.t.Fatalf("no %s", what)
}

// viewers look on until their end is asked for; got counts what they were sent.
func (s *served) viewers(n int) (got *atomic.Int64, leave func()) {
	s.t.Helper()
	ctx, stop := context.WithCancel(s.t.Context())
	got = new(atomic.Int64)
	ended := make(chan struct{}, n)
	for range n {
		request, err := http.NewRequestWithContext(ctx, http.MethodGet, "http://"+s.address+"/api/events", nil)
		require.NoError(s.t, err)
		request.Header.Set("Accept-Encoding", "gzip, deflate, br, zstd")
		client := &http.Client{Transport: &http.Transport{DisableCompression: true}}
		answer, err := client.Do(request)
		require.NoError(s.t, err)
		require.Equal(s.t, http.StatusOK, answer.StatusCode)
		go func() {
			_, _ = io.Copy(counting{got}, answer.Body) // until it is broken off
			_ = answer.Body.Close()
			ended <- struct{}{}
		}()
	}
	return got, func() {
		stop()
		for range n {
			<-ended
		}
	}
}

// counting counts bytes.
type counting struct{ n *atomic.Int64 }

// Write implements io.Writer.
func (c counting) Write(b []byte) (int, error) {
	c.n.Add(int64(len(b)))
	return len(b), nil
}

// used is the processor time of the program and its recorder so far.
func (s *served) used() time.Duration {
	s.t.Helper()
	return s.usedBy(s.program.Process.Pid) + s.usedBy(recorderOf(s.t, s.folder))
}

func (s *served) usedBy(process int) time.Duration {
	s.t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", process))
	require.NoError(s.t, err)
	_, rest, found := bytes.Cut(text, []byte(") ")) // after the name of the program
	require.True(s.t, found)
	fields := strings.Fields(string(rest))
	var ticks int64
	for _, field := range fields[11:13] { // of the program itself, and of the system for it
		n, err := strconv.ParseInt(field, 10, 64)
		require.NoError(s.t, err)
		ticks += n
	}
	return time.Duration(ticks) * time.Second / 100 // USER_HZ, which Linux promises
}

// memoryOf is what a process has of it now, and the most that it had.
func memoryOf(process int) (now, most int64, err error) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", process))
	if err != nil {
		return 0, 0, err
	}
	read := func(name string) (n int64) {
		found := regexp.MustCompile(name + `:\s+(\d+) kB`).FindSubmatch(text)
		if found == nil {
			err = fmt.Errorf("process %d has no %s", process, name)
			return 0
		}
		n, _ = strconv.ParseInt(string(found[1]), 10, 64) // these are figures
		return n << 10
	}
	return read("VmRSS"), read("VmHWM"), err
}

// viewed is what so many viewers cost.
type viewed struct {
	share        float64 // of a core
	memory, most int64
	toEach       float64 // bytes a second
}

func (s *served) with(viewers int, during time.Duration) viewed {
	s.t.Helper()
	got, leave := s.viewers(viewers)
	defer leave()
	time.Sleep(time.Second) // what each is told at first is over
	began, before, sent := time.Now(), s.used(), got.Load()
	time.Sleep(during)
	took := time.Since(began)
	v := viewed{share: (s.used() - before).Seconds() / took.Seconds()}
	var err error
	v.memory, v.most, err = memoryOf(s.program.Process.Pid)
	require.NoError(s.t, err)
	recorder := recorderOf(s.t, s.folder)
	memory, most, err := memoryOf(recorder)
	require.NoError(s.t, err)
	v.memory, v.most = v.memory+memory, v.most+most
	for _, process := range []int{s.program.Process.Pid, recorder} {
		twice, err := aparttest.CountedTwice(process)
		require.NoError(s.t, err)
		v.memory, v.most = v.memory-twice, v.most-twice
	}
	if viewers > 0 {
		v.toEach = float64(got.Load()-sent) / float64(viewers) / took.Seconds()
	}
	s.t.Logf("%2d viewers: %.1f %% of a core, %d MB (at most %d), %.1f kB/s to each", viewers, 100*v.share, v.memory>>20, v.most>>20, v.toEach/1e3)
	return v
}

// viewersFor is how long each number of viewers looks on.
func viewersFor(t *testing.T) time.Duration {
	t.Helper()
	text := os.Getenv("ARCTALLY_VIEWERS_FOR")
	if text == "" {
		return 0
	}
	during, err := time.ParseDuration(text)
	require.NoError(t, err)
	return during
}

// Who looks on costs the recorder next to nothing. How much of a core it takes is held only
// where it is asked for, and against nobody looking on in the same run: a machine that does
// other things has slower cores.
func TestViewers_CostTheRecorderNothing(t *testing.T) {
	if testing.Short() {
		t.Skip("it records for a while")
	}
	s := recordServed(t)
	during, numbers := viewersFor(t), []int{0, 1, 20, 64}
	if during == 0 {
		during, numbers = 2*time.Second, []int{20}
	}
	share := map[int]float64{}
	for _, n := range numbers {
		v := s.with(n, during)
		share[n] = v.share
		assert.Less(t, v.toEach, float64(mostToEach))
		assert.Less(t, v.most, int64(mostMemory))
	}
	if len(numbers) > 1 {
		assert.Less(t, share[20]-share[0], mostMore)
	}
}
