package record

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// finished makes a record that was closed, in a folder of its own.
func finished(t *testing.T) (path string, content []byte) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "job.arctally")
	w, err := Create(path, Meta{Job: "a job"})
	require.NoError(t, err)
	require.NoError(t, w.Source(box()))
	require.NoError(t, w.Close())
	content, err = os.ReadFile(path)
	require.NoError(t, err)
	return path, content
}

// requireStays wants a removal to be refused, and the record to be there as it was.
func requireStays(t *testing.T, path string, content []byte, want Kind, err error) {
	t.Helper()
	var own *Error
	require.ErrorAs(t, err, &own)
	require.Equal(t, want, own.Kind, err.Error())
	now, err := os.ReadFile(path)
	require.NoError(t, err)
	require.True(t, bytes.Equal(content, now), "not a byte of it changed")
}

func TestRemoval(t *testing.T) {
	path, content := finished(t)
	r, err := BeginRemoval(path)
	require.NoError(t, err)
	_, err = Amend(path)
	requireStays(t, path, content, Busy, err)
	_, err = BeginRemoval(path)
	requireStays(t, path, content, Busy, err)
	require.NoError(t, r.Leave())
	w, err := Amend(path)
	require.NoError(t, err, "it was left")
	require.NoError(t, w.Close())

	r, err = BeginRemoval(path)
	require.NoError(t, err)
	require.NoError(t, r.Remove())
	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Empty(t, left)
}

// What a program left that was killed after its last commit had gone into the file is removed too.
func TestRemoval_WhatLiesBeside(t *testing.T) {
	path, _ := finished(t)
	for _, name := range []string{path + logSuffix, path + indexSuffix} {
		require.NoError(t, os.WriteFile(name, nil, 0o600))
	}
	r, err := BeginRemoval(path)
	require.NoError(t, err)
	require.NoError(t, r.Remove())
	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Empty(t, left)
}

func TestRemoval_Refused(t *testing.T) {
	t.Run("missing", func(t *testing.T) {
		path := filepath.Join(t.TempDir(), "job.arctally")
		_, err := BeginRemoval(path)
		var own *Error
		require.ErrorAs(t, err, &own)
		require.Equal(t, Missing, own.Kind)
		require.NoFileExists(t, path+lockSuffix)
	})
	t.Run("a link", func(t *testing.T) {
		path, content := finished(t)
		link := filepath.Join(t.TempDir(), "link.arctally")
		require.NoError(t, os.Symlink(path, link))
		_, err := BeginRemoval(link)
		requireStays(t, path, content, NotRecord, err)
	})
	t.Run("being written", func(t *testing.T) {
		path, _ := finished(t)
		w, err := Append(path)
		require.NoError(t, err)
		_, err = BeginRemoval(path)
		var own *Error
		require.ErrorAs(t, err, &own)
		require.Equal(t, Busy, own.Kind)
		require.NoError(t, w.Close())
	})
	t.Run("commits wait", func(t *testing.T) {
		path, content := finished(t)
		require.NoError(t, os.WriteFile(path+logSuffix, []byte("commits"), 0o600))
		_, err := BeginRemoval(path)
		requireStays(t, path, content, Busy, err)
		require.ErrorContains(t, err, "commits wait beside it")
		require.FileExists(t, path+logSuffix)
	})
	t.Run("cut short", func(t *testing.T) {
		path, content := finished(t)
		require.NoError(t, os.Truncate(path, int64(len(content)-1)))
		_, err := BeginRemoval(path)
		requireStays(t, path, content[:len(content)-1], Truncated, err)
	})
	t.Run("read-only folder", func(t *testing.T) {
		if runtime.GOOS == "windows" {
			t.Skip("a folder of Windows has no rights that a test could take away")
		}
		path, content := finished(t)
		folder := filepath.Dir(path)
		require.NoError(t, os.Chmod(path, 0o666), "it is the folder that bars it")
		require.NoError(t, os.Chmod(filepath.Dir(folder), 0o755))
		require.NoError(t, os.Chmod(folder, 0o555))
		asNobody(t, func() {
			_, err := BeginRemoval(path)
			requireStays(t, path, content, ReadOnly, err)
		})
		require.NoError(t, os.Chmod(folder, 0o755))
	})
}

// Another program that has the record open by SQLite is not robbed of it, whether it writes or reads.
func TestRemoval_OpenInAnotherProgram(t *testing.T) {
	for name, query := range map[string]string{"to write": forWriting, "to read": forReading} {
		t.Run(name, func(t *testing.T) {
			path, content := finished(t)
			other, err := connect(path, query)
			require.NoError(t, err)
			var rows int
			require.NoError(t, other.QueryRowContext(context.Background(), "SELECT count(*) FROM commits").Scan(&rows))
			_, err = BeginRemoval(path)
			requireStays(t, path, content, Busy, err)
			require.NoError(t, other.Close())
			r, err := BeginRemoval(path)
			require.NoError(t, err)
			require.NoError(t, r.Remove())
			require.NoFileExists(t, path)
		})
	}
}

// What was touched between the look and the removal stays, also where its size and its times are as before.
func TestRemoval_TouchedMeanwhile(t *testing.T) {
	for name, touch := range map[string]func(t *testing.T, path string){
		"a byte": func(t *testing.T, path string) {
			info, err := os.Stat(path)
			require.NoError(t, err)
			file, err := os.OpenFile(path, os.O_WRONLY, 0)
			require.NoError(t, err)
			_, err = file.WriteAt([]byte{0xff}, info.Size()-1)
			require.NoError(t, err)
			require.NoError(t, file.Close())
			require.NoError(t, os.Chtimes(path, info.ModTime(), info.ModTime()))
		},
		"another file": func(t *testing.T, path string) {
			content, err := os.ReadFile(path)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(path+"-other", content, 0o600))
			require.NoError(t, os.Rename(path+"-other", path))
		},
	} {
		t.Run(name, func(t *testing.T) {
			path, _ := finished(t)
			old := time.Now().Add(-time.Hour)
			require.NoError(t, os.Chtimes(path, old, old))
			r, err := BeginRemoval(path)
			require.NoError(t, err)
			touch(t, path)
			now, err := os.ReadFile(path)
			require.NoError(t, err)
			requireStays(t, path, now, Changed, r.Remove())
			require.NoFileExists(t, path+lockSuffix, "others may go on with it")
		})
	}
}

// Who only reads a finished record goes on reading what was removed; Windows removes nothing that is open.
func TestRemoval_SomebodyReads(t *testing.T) {
	path, content := finished(t)
	reader, err := Open(path)
	require.NoError(t, err)
	r, err := BeginRemoval(path)
	require.NoError(t, err)
	if err := r.Remove(); runtime.GOOS == "windows" {
		requireStays(t, path, content, Busy, err)
	} else {
		require.NoError(t, err)
		require.NoFileExists(t, path)
		head, err := reader.Fingerprint()
		require.NoError(t, err)
		require.Len(t, head, 64)
	}
	require.NoFileExists(t, path+lockSuffix)
	require.NoError(t, reader.Close())
}
