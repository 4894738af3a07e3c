//go:build linux

package main

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/acquire/seal"
	"arctally/cmd/internal/outbox"
	"arctally/report/handover"
	"arctally/report/handover/storetest"
)

// jobsOf makes a folder of closed jobs, each a record of its own, and returns their digests with their bytes.
func jobsOf(t *testing.T, folder string, jobs int) map[string][]byte {
	t.Helper()
	key, err := seal.Folder(t.TempDir()).Machine()
	require.NoError(t, err)
	content, err := os.ReadFile("../../testdata/record/version-4-capture.arctally")
	require.NoError(t, err)
	made := map[string][]byte{}
	for k := range jobs {
		file := filepath.Join(folder, fmt.Sprintf("job-%03d.arctally", k))
		require.NoError(t, os.WriteFile(file, content, 0o600))
		w, err := record.Amend(file)
		require.NoError(t, err)
		w.SealWith(key)
		_, err = w.Photograph("image/png", []byte(rand.Text()))
		require.NoError(t, err)
		require.NoError(t, w.Close())
		long := time.Now().Add(-time.Hour) // nobody is at it any more
		require.NoError(t, os.Chtimes(file, long, long))
		r, err := record.Open(file)
		require.NoError(t, err)
		digest, err := r.Fingerprint()
		require.NoError(t, err)
		require.NoError(t, r.Close())
		made[digest], err = os.ReadFile(file)
		require.NoError(t, err)
	}
	return made
}

// TestEngine_KilledInTurn kills the program and the store in turn while some tens of jobs are handed over:
// every job is there once, whole, and with the bytes that it has here. ARCTALLY_JOBS says how many jobs, and
// ARCTALLY_SEED has the same killed after as much again.
func TestEngine_KilledInTurn(t *testing.T) {
	e := storetest.Start(t)
	jobs := number("ARCTALLY_JOBS", 40)
	random := seeded(t)
	folder := t.TempDir()
	made := jobsOf(t, folder, jobs)
	where := "s3://" + storetest.Bucket + "/shop"
	storetest.Use(t, e)
	env := append(os.Environ(), "XDG_CACHE_HOME="+t.TempDir(), "XDG_CONFIG_HOME="+t.TempDir())
	given := func() (n int) {
		list, err := outbox.Read(folder)
		if err != nil {
			return 0 // the program was killed before it had kept anything
		}
		for _, row := range list.Rows {
			if row.State == outbox.Given {
				n++
			}
		}
		return n
	}
	programs, stores := 0, 0
	var serving *exec.Cmd
	stop := func() {
		if serving != nil {
			_ = serving.Process.Kill()
			_ = serving.Wait() // it was killed
			serving = nil
		}
	}
	t.Cleanup(stop)
	for round := 0; given() < jobs; round++ {
		if serving == nil {
			serving = exec.CommandContext(context.WithoutCancel(t.Context()), "arctally", "serve", "--listen", "127.0.0.1:0", "--hand-over", where, folder)
			serving.Env, serving.Stderr = env, io.Discard
			require.NoError(t, serving.Start())
		}
		enough := objectsIn(t, e) + 1 + random.IntN(25) // two bundles, or a part of one
		require.Eventually(t, func() bool { return objectsIn(t, e) >= enough || given() == jobs }, 2*longest, 2*time.Millisecond, "%d of %d were given", given(), jobs)
		if round%2 == 0 {
			stop()
			programs++
			continue
		}
		e.Kill()
		stores++
		e.Again()
		if round%8 != 1 { // else it has to find out by itself that the store is back
			stop()
			programs++
		}
	}
	stop()
	t.Logf("%d jobs; the program was killed %d times, the store %d times", jobs, programs, stores)
	requireGiven(t, where, made)
}

// objectsIn counts what a store has on its disk, whole or not.
func objectsIn(t *testing.T, e *storetest.Engine) (n int) {
	t.Helper()
	_ = filepath.WalkDir(e.Folder, func(_ string, entry fs.DirEntry, err error) error { // what is gone meanwhile is not counted
		if err == nil && !entry.IsDir() {
			n++
		}
		return nil
	})
	return n
}

// requireGiven wants a store to have these records, each in a whole bundle, and no other.
func requireGiven(t *testing.T, where string, made map[string][]byte) {
	t.Helper()
	store, err := handover.Open(where)
	require.NoError(t, err)
	digests, err := handover.Digests(t.Context(), store)
	require.NoError(t, err)
	require.Len(t, digests, len(made))
	for _, digest := range digests {
		b, err := handover.Read(t.Context(), store, digest)
		require.NoError(t, err)
		for _, e := range b.Files {
			content, err := b.ReadFile(t.Context(), e.Name, 16<<20)
			require.NoError(t, err)
			if e.Name == handover.RecordName {
				require.True(t, bytes.Equal(made[digest], content), digest)
			}
		}
		sizes, err := store.Sizes(t.Context(), digest)
		require.NoError(t, err)
		require.Len(t, sizes, len(b.Files)+1, "nothing else is there")
	}
}

// Several programs hand the same jobs over at once: each is there once, and none of them fails.
func TestEngine_SeveralAtOnce(t *testing.T) {
	e := storetest.Start(t)
	storetest.Use(t, e)
	folder := t.TempDir()
	made := jobsOf(t, folder, 3)
	where := "s3://" + storetest.Bucket
	files, err := filepath.Glob(filepath.Join(folder, "*.arctally"))
	require.NoError(t, err)
	var running []*exec.Cmd
	for range 4 {
		for _, file := range files {
			c := exec.CommandContext(t.Context(), "arctally", "hand-over", file, "-o", where)
			c.Env = append(os.Environ(), "XDG_CACHE_HOME="+t.TempDir())
			require.NoError(t, c.Start())
			running = append(running, c)
		}
	}
	for _, c := range running {
		require.NoError(t, c.Wait())
	}
	requireGiven(t, where, made)
}

// A bundle comes back out of an object store as it went in, and a fleet takes its results from there; wrong keys are told in words.
func TestEngine_TakenBack(t *testing.T) {
	e := storetest.Start(t)
	storetest.Use(t, e)
	folder := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	made := jobsOf(t, folder, 1)
	where := "s3://" + storetest.Bucket + "/shop"
	file := filepath.Join(folder, "job-000.arctally")
	said, err := exec.CommandContext(t.Context(), "arctally", "hand-over", file, "-o", where).CombinedOutput()
	require.NoError(t, err, string(said))
	for digest, content := range made {
		said, err := exec.CommandContext(t.Context(), "arctally", "take", where+"/"+digest, "-o", folder).CombinedOutput()
		require.NoError(t, err, string(said))
		back, err := os.ReadFile(filepath.Join(folder, digest, handover.RecordName))
		require.NoError(t, err)
		require.True(t, bytes.Equal(content, back))
	}
	database := filepath.Join(t.TempDir(), "fleet.sqlite")
	for _, want := range []string{": new\ntaken in: 1,", ": there already\ntaken in: 1,"} {
		said, err = exec.CommandContext(t.Context(), "arctally", "fleet", "take-in", where, "--into", database).CombinedOutput()
		require.NoError(t, err, string(said))
		require.Contains(t, string(said), want)
	}
	t.Setenv("AWS_SECRET_ACCESS_KEY", "another one")
	said, err = exec.CommandContext(t.Context(), "arctally", "hand-over", file, "-o", where).CombinedOutput()
	require.Error(t, err)
	require.Contains(t, string(said), "the store does not take the keys")
	require.Contains(t, string(said), "hint: look at AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY")
}

// A record is removed here because an object store has it, stays where the store has anything else, and comes back as it was.
func TestEngine_RemovedAndTakenBack(t *testing.T) {
	e := storetest.Start(t)
	storetest.Use(t, e)
	folder := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	made := jobsOf(t, folder, 1)
	where := "s3://" + storetest.Bucket + "/shop"
	say := func(args ...string) (string, error) {
		said, err := exec.CommandContext(t.Context(), "arctally", args...).CombinedOutput()
		return string(said), err
	}
	file := filepath.Join(folder, "job-000.arctally")
	for digest, own := range made {
		said, err := say("hand-over", file, "-o", where)
		require.NoError(t, err, said)
		paper := filepath.Join(e.Folder, storetest.Bucket, "shop", digest, "weld-record.html")
		content, err := os.ReadFile(paper)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(paper, append(content[:len(content)-1:len(content)-1], 'x'), 0o600))
		said, err = say("hand-over", "--remove", file, "-o", where)
		require.Error(t, err, said)
		require.Contains(t, said, "weld-record.html: its SHA-256 is not the one that the manifest says")
		require.FileExists(t, file)
		require.NoError(t, os.WriteFile(paper, content, 0o600))
		e.Kill()
		said, err = say("hand-over", "--remove", file, "-o", where)
		require.Error(t, err, said)
		require.Contains(t, said, "the store cannot be reached")
		require.FileExists(t, file)
		e.Again()
		said, err = say("hand-over", "--remove", file, "-o", where)
		require.NoError(t, err, said)
		require.NoFileExists(t, file)
		said, err = say("take", where+"/"+digest, "-o", folder)
		require.NoError(t, err, said)
		back, err := os.ReadFile(filepath.Join(folder, digest, handover.RecordName))
		require.NoError(t, err)
		require.True(t, bytes.Equal(own, back))
	}
}
