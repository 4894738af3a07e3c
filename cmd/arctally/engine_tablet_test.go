//go:build linux

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/cmd/internal/outbox"
)

// life has a program run again and again, whatever kills it, until it is done.
type life struct {
	held    sync.Mutex
	process *exec.Cmd // nil is none
	over    bool
	ended   sync.WaitGroup
}

// live begins: each next command runs to its end, and done hears how that came about and what it printed.
func (l *life) live(next func() *exec.Cmd, done func(printed []byte, err error) bool) {
	l.ended.Go(func() {
		for over := false; !over; {
			c := next()
			var printed bytes.Buffer
			c.Stdout = &printed
			started, err := l.start(c)
			if !started {
				return
			}
			if err == nil {
				err = c.Wait()
			}
			over = done(printed.Bytes(), err)
		}
	})
}

func (l *life) start(c *exec.Cmd) (started bool, err error) {
	l.held.Lock()
	defer l.held.Unlock()
	if l.over {
		return false, nil
	}
	l.process = c
	return true, c.Start()
}

// kill kills what runs now, as if its plug was pulled.
func (l *life) kill() {
	l.held.Lock()
	defer l.held.Unlock()
	if l.process != nil && l.process.Process != nil {
		_ = l.process.Process.Kill() // it may have ended
	}
}

// end kills what runs, and lets nothing run any more.
func (l *life) end() {
	l.held.Lock()
	l.over = true
	l.held.Unlock()
	l.kill()
	l.ended.Wait()
}

// tablet is a program with a folder of closed jobs.
type tablet struct {
	life
	folder      string
	environment []string
	files       []string          // of the jobs
	digests     map[string][]byte // of the jobs, with the bytes of the record
	byHand      bool              // the jobs are handed over one by one, in place of serve
	handed      int               // by hand
	said        *os.File          // by the program, on its way
}

// newTablet makes a folder of jobs of which no two are the same: the arc has other voltages in each, at another
// time, and in one of three somebody has decided on the first finding.
func newTablet(t *testing.T, number, jobs int, store string) *tablet {
	b := &tablet{folder: t.TempDir(), digests: map[string][]byte{}}
	own := t.TempDir()
	var err error
	b.said, err = os.Create(filepath.Join(own, "said"))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, b.said.Close()) })
	b.environment = append(os.Environ(), "XDG_CACHE_HOME="+filepath.Join(own, "cache"), "XDG_CONFIG_HOME="+filepath.Join(own, "config"), "AWS_ENDPOINT_URL=http://"+store)
	for k := range jobs {
		file := b.layJob(t, own, number*jobs+k, fmt.Sprintf("tablet-%02d-job-%02d", number, k))
		r, err := record.Open(file)
		require.NoError(t, err)
		digest, err := r.Fingerprint()
		require.NoError(t, errors.Join(err, r.Close()))
		b.digests[digest], err = os.ReadFile(file)
		require.NoError(t, err)
		b.files = append(b.files, file)
		long := time.Now().Add(-time.Hour) // nobody is at it any more
		require.NoError(t, os.Chtimes(file, long, long))
	}
	return b
}

// layJob makes job number n of all.
func (b *tablet) layJob(t *testing.T, folder string, n int, name string) (file string) {
	var capture strings.Builder
	for line := range strings.Lines(string(b.part(t, "capture.csv"))) {
		first, rest, _ := strings.Cut(line, ",")
		if at, err := strconv.ParseFloat(first, 64); err == nil {
			first = fmt.Sprintf("%.3f", at+7200*float64(n))
		}
		capture.WriteString(first + "," + rest)
	}
	job := strings.NewReplacer("Keyway bore", fmt.Sprintf("Made bore %d", n), "Operator 1", fmt.Sprintf("Operator %d", n%7)).Replace(string(b.part(t, "job.yaml")))
	for part, text := range map[string]string{"capture.csv": capture.String(), "job.yaml": job, "procedure.yaml": string(b.part(t, "procedure.yaml"))} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, part), []byte(text), 0o600))
	}
	file = filepath.Join(b.folder, name+".arctally")
	b.do(t, "import", filepath.Join(folder, "capture.csv"), "--job", filepath.Join(folder, "job.yaml"), "-o", file,
		"--time", "time", "--time-layout", "unix", "--voltage", fmt.Sprintf("voltage*%.4f", 0.96+0.0001*float64(n%800)), "--current", "current", "--arc", "arc")
	if n%3 == 0 {
		b.do(t, "inspect", file, "finding=1", "method=visual", "result=no indication", "decision=accept", "by=Inspector 1")
	}
	return file
}

func (b *tablet) part(t *testing.T, name string) []byte {
	content, err := os.ReadFile(filepath.Join(keyway, name))
	require.NoError(t, err)
	return content
}

// do runs a command that may end with the status of open findings.
func (b *tablet) do(t *testing.T, words ...string) (printed []byte) {
	c := b.command(words...)
	printed, err := c.Output()
	if exit, ok := errors.AsType[*exec.ExitError](err); ok {
		require.Equal(t, 3, exit.ExitCode(), "%q: %s", words, exit.Stderr)
		return printed
	}
	require.NoError(t, err)
	return printed
}

func (b *tablet) command(words ...string) *exec.Cmd {
	c := exec.CommandContext(context.Background(), "arctally", words...)
	c.Env = b.environment
	return c
}

// begin has the tablet hand its jobs over.
func (b *tablet) begin(where string) {
	b.live(func() *exec.Cmd {
		c := b.command("serve", "--listen", "127.0.0.1:0", "--hand-over", where, b.folder)
		if b.byHand {
			c = b.command("hand-over", b.files[b.handed], "-o", where)
		}
		c.Stderr = b.said
		return c
	}, func(_ []byte, err error) bool {
		b.held.Lock()
		defer b.held.Unlock()
		if b.byHand && err == nil {
			b.handed++
		}
		return b.byHand && b.handed == len(b.files)
	})
}

// given is how many of its jobs the tablet says that the store has.
func (b *tablet) given() (n int) {
	if b.byHand {
		b.held.Lock()
		defer b.held.Unlock()
		return b.handed
	}
	list, err := outbox.Read(b.folder)
	if err != nil {
		return 0 // it was killed before it had kept anything
	}
	for _, row := range list.Rows {
		if row.State == outbox.Given {
			n++
		}
	}
	return n
}

// requireSaysGiven wants the tablet to say of each of its jobs that it was given, under its own digest.
func (b *tablet) requireSaysGiven(t *testing.T) {
	t.Helper()
	if b.byHand {
		require.Equal(t, len(b.files), b.handed)
		return
	}
	var list outbox.List
	require.NoError(t, json.Unmarshal(b.do(t, "hand-over", "--list", b.folder, "--json"), &list))
	require.Equal(t, len(b.digests), len(list.Rows))
	said := map[string]bool{}
	for _, row := range list.Rows {
		require.Equal(t, outbox.Given, row.State, row.Says)
		require.NotNil(t, b.digests[row.Bundle], row.Bundle)
		said[row.Bundle] = true
	}
	require.Equal(t, len(b.digests), len(said))
}
