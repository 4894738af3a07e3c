package record

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// childTask tells the test binary, when it runs itself, what to do instead of tests.
const childTask = "ARCTALLY_RECORD_CHILD"

func TestMain(m *testing.M) {
	switch os.Getenv(childTask) {
	case "write":
		fmt.Fprintln(os.Stderr, writeForever(os.Args[1]))
		os.Exit(1)
	case "count":
		if err := printCount(os.Args[1]); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	default:
		os.Exit(m.Run())
	}
}

func child(task string, args ...string) *exec.Cmd {
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), childTask+"="+task)
	c.Stderr = os.Stderr
	return c
}

// writeForever goes on with a record of two boxes and prints what was acknowledged,
// until it is killed. Sample k of the box that tells the arc is k in both columns and
// stands at tick k; so is that of the companion, in an epoch of its own each time.
func writeForever(path string) error {
	beat := make(chan time.Time)
	go func() {
		for t := range time.Tick(2 * time.Millisecond) {
			beat <- t
		}
	}()
	o := options{now: time.Now, limit: 20_000, beat: beat}
	w, err := appendTo(path, o)
	var missing *Error
	if errors.As(err, &missing) && missing.Kind == Missing {
		if w, err = create(path, Meta{Job: "crash"}, o); err == nil {
			err = w.Source(box())
		}
	}
	if err != nil {
		return err
	}
	if err := w.Source(companion(1)); err != nil {
		return err
	}
	fmt.Println(w.Acknowledged())
	next, beside := []int32{0, 0}, max(1, w.NextEpoch())
	if _, tick, any := w.Last(); any {
		next[0] = int32(tick) + 1
	}
	for {
		for box := range next {
			b := series.Block{Kind: series.Arc, Box: box, Epoch: box * beside, Tick: int64(next[box]), Step: 1}
			for range 50 {
				b.V, b.I = append(b.V, next[box]), append(b.I, -next[box])
				next[box]++
			}
			if err := w.Block(&b); err != nil {
				return err
			}
		}
		fmt.Println(w.Acknowledged())
		time.Sleep(100 * time.Microsecond) // at the pace of a source
	}
}

func printCount(path string) error {
	r, err := Open(path)
	if err != nil {
		return err
	}
	n := 0
	for g, err := range r.Groups() {
		if err != nil {
			return err
		}
		for k := range g.Blocks {
			n += g.Blocks[k].Len()
		}
	}
	fmt.Println(n)
	return r.Close()
}

func TestWriter_KilledAtAnyMomentLosesNothingAcknowledged(t *testing.T) {
	if testing.Short() {
		t.Skip("it kills many programs")
	}
	path := filepath.Join(t.TempDir(), "job.arc")
	r := rand.New(rand.NewPCG(3, 4))
	kills := 25
	if testing.Short() {
		kills = 3
	}
	for range kills {
		acknowledged := interrupt(t, path, r.IntN(150), func(writer *os.Process) {
			require.NoError(t, writer.Kill())
		})
		require.NoError(t, Verify(path))
		require.GreaterOrEqual(t, countSamples(t, path), acknowledged)
	}
	rd, err := Open(path)
	require.NoError(t, err)
	events, err := rd.Events()
	require.NoError(t, err)
	require.Len(t, events, kills-1)
	for _, e := range events {
		require.Equal(t, series.Resumed, e.Kind)
	}
	require.NoError(t, rd.Close())
}

// interrupt runs the writing child until its first commit is acknowledged and so
// many more blocks are added, stops it in one way or another, and returns the last
// number of samples that it said was acknowledged. It waits for what the child
// says and not for a time, so that a slow machine interrupts the same thing.
func interrupt(t *testing.T, path string, more int, stop func(*os.Process)) int {
	t.Helper()
	c := child("write", path)
	var said bytes.Buffer
	c.Stderr = &said
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	began, last := -1, -1
	for lines := bufio.NewScanner(out); lines.Scan(); {
		n, err := strconv.Atoi(lines.Text())
		if err != nil {
			break // it was stopped within the line
		}
		if began < 0 {
			began = n
		}
		if last = n; last == began {
			continue
		}
		if more == 0 {
			stop(c.Process)
		}
		more--
	}
	require.Error(t, c.Wait())
	require.Greater(t, last, began, "it is stopped after it began; it said: %s", &said)
	return last
}

// countSamples checks that sample k of each box is k, and returns how many there are.
func countSamples(t *testing.T, path string) int {
	t.Helper()
	n, err := readPrefix(t, path)
	require.NoError(t, err)
	return n
}

func TestReader_AnotherProcessReadsALiveRecord(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := Create(path, Meta{})
	require.NoError(t, err)
	for k := range 5 {
		v := make([]int32, 100)
		require.NoError(t, w.Block(&series.Block{Kind: series.Arc, Tick: int64(k) * 100, Step: 1, V: v, I: v}))
		require.NoError(t, w.Sync())
		out, err := child("count", path).Output()
		require.NoError(t, err)
		require.Equal(t, fmt.Sprintln(100*(k+1)), string(out))
	}
	require.NoError(t, w.Close())
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, entries, 1, "one file is the whole record once it is closed")
}

func TestAppend_AnotherProcessHasIt(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arc")
	c := child("write", path)
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	require.True(t, bufio.NewScanner(out).Scan(), "it writes")
	_, err = Append(path)
	requireKind(t, Busy, err)
	_, err = Create(path, Meta{})
	requireKind(t, Busy, err)
	require.NoError(t, c.Process.Kill())
	require.Error(t, c.Wait())
	w, err := Append(path)
	require.NoError(t, err, "a killed writer holds no lock")
	require.NoError(t, w.Close())
	require.NoError(t, Verify(path))
}

// requireKind checks an error's kind, and that it says what to do.
func requireKind(t *testing.T, want Kind, err error) {
	t.Helper()
	var e *Error
	require.ErrorAs(t, err, &e)
	require.Equal(t, want.String(), e.Kind.String(), "%v", err)
	require.NotEmpty(t, e.Hint())
}
