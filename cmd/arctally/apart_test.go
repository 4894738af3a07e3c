//go:build linux

package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/cmd/internal/apart/aparttest"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page/live"
)

// recorderOf is the process that records a job of a folder; 0 is none.
func recorderOf(t *testing.T, folder string) int {
	t.Helper()
	process, err := aparttest.RecorderOf(folder)
	require.NoError(t, err)
	return process
}

// field is a program that serves a folder, and a box beside it that lays in real time and
// knows nothing of who listens.
type field struct {
	t       *testing.T
	folder  string
	address string
	port    string
	env     []string
	box     *sensorbox.Box
	name    string // of the program; stumbling is the tests' own
	build   string // where the program lies; empty is where it usually does
	program *exec.Cmd
}

func newField(t *testing.T, env ...string) *field {
	t.Helper()
	if testing.Short() {
		t.Skip("it records for a while")
	}
	job := jobtest.Folder(t, "length: 60 mm", "length: 600 mm") // hours of it: a box that had laid all would look like a recorder that lost it
	p, err := jobfile.Read(job)
	require.NoError(t, err)
	plan := virtualbox.Plan(p, 1, nil)
	plan.PlaySpeed = 1
	box, err := sensorbox.New(plan)
	require.NoError(t, err)
	l, err := new(net.ListenConfig).Listen(t.Context(), "tcp", "127.0.0.1:0")
	require.NoError(t, err)
	f := &field{t: t, folder: filepath.Dir(job), address: l.Addr().String(), box: box, name: "arctally"}
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
		assert.ErrorIs(t, <-played, context.Canceled, "the box had something to lay all the time")
		assert.NoError(t, box.Close())
		if t.Failed() {
			f.keep()
			f.leaveNobody()
		}
	})
	return f
}

// keep puts what is left of a test that failed where it stays, and says what the record holds.
func (f *field) keep() {
	kept, err := os.MkdirTemp("", "arctally-failed-")
	if err == nil {
		err = os.CopyFS(kept, os.DirFS(f.folder))
	}
	f.t.Logf("%s; it is kept in %s (%v); the box had laid %s", f.holds(), kept, err, f.box.Played())
}

// leaveNobody ends what a test that failed has left.
func (f *field) leaveNobody() {
	if recorder := recorderOf(f.t, f.folder); recorder != 0 {
		_ = unix.Kill(recorder, unix.SIGKILL) // or it has ended meanwhile
	}
	if f.program != nil && f.program.ProcessState == nil {
		_ = f.program.Process.Kill()
		_ = f.program.Wait() // it was killed
	}
}

// holds says in one line what the record holds.
func (f *field) holds() string {
	r, err := record.Open(f.file())
	if err != nil {
		return err.Error()
	}
	defer func() { _ = r.Close() }() // it was read, or says why not
	spans, err := r.Epochs()
	said := fmt.Sprintf("the record holds %d epochs (%v)", len(spans), err)
	if n := len(spans); n > 0 {
		said += fmt.Sprintf(", the last %+v", spans[n-1])
	}
	events, err := r.Events()
	said += fmt.Sprintf(", %d recorders that died (%v)", beginning(events, diedWords), err)
	last, at := int64(0), time.Time{}
	for group, err := range r.Groups() {
		if err != nil {
			return fmt.Sprintf("%s, and behind commit %d: %v", said, last, err)
		}
		last, at = group.Number, group.Written
	}
	return fmt.Sprintf("%s, the last commit is %d, of %s", said, last, at)
}

// diedWords begin what a recorder says in the record of the one before it.
const diedWords = "The program that records had died ("

// beginning counts the events whose words begin so.
func beginning(events []series.Event, begins string) (n int) {
	for _, e := range events {
		if strings.HasPrefix(e.Text, begins) {
			n++
		}
	}
	return n
}

// serve starts the program, which may be found by others only on one processor.
func (f *field) serve() {
	f.t.Helper()
	program := f.build
	if program == "" {
		program = os.Getenv("ARCTALLY")
	}
	if program == "" || f.name == stumblingName {
		var err error
		program, err = os.Executable()
		require.NoError(f.t, err)
	}
	f.program = &exec.Cmd{Path: program, Args: []string{f.name, "serve", "--listen", f.address, f.folder}, Env: f.env}
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
	f.t.Fatalf("no %s: %+v; the program: %v; the recorder: %d", what, s, f.program.ProcessState, recorderOf(f.t, f.folder))
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

// head is the hash of the last group that is committed.
func (f *field) head() (head [sha256.Size]byte) {
	f.t.Helper()
	r, err := record.Open(f.file())
	require.NoError(f.t, err)
	text, err := r.Fingerprint()
	require.NoError(f.t, errors.Join(err, r.Close()))
	_, err = hex.Decode(head[:], []byte(text))
	require.NoError(f.t, err)
	return head
}

// Whichever process is killed, whenever that is: every commit that had been made is in the
// record, in its place of the chain, nothing that was acknowledged is lost, the recording goes
// on, the record says what is missing, and it is judged as the pages showed it.
func TestApart_KilledInTurn(t *testing.T) {
	f := newField(t)
	f.serve()
	f.record()
	random := rand.New(rand.NewPCG(13, 7))
	n := kills(t)
	var heads [][sha256.Size]byte
	for k := range 2 * n {
		time.Sleep(time.Duration(random.IntN(1400)) * time.Millisecond) // more than from commit to commit
		before := f.until("samples", func(s *live.State) bool { return s.Phase == live.Running && s.DurableSamples > 0 })
		recorder := recorderOf(t, f.folder)
		require.NotZero(t, recorder)
		heads = append(heads, f.head())
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
	latest := int64(0)
	for k, head := range heads {
		group, err := r.GroupOf(head)
		require.NoError(t, err)
		require.Positive(t, group, "what was committed before kill %d is there", k)
		require.GreaterOrEqual(t, group, latest, "in its order")
		latest = group
	}
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
	assert.Equal(t, n, beginning(events, diedWords))
	t.Logf("%d kills of each process: %d commits, %d samples, %s laid", n, latest, samples, f.box.Played())
}
