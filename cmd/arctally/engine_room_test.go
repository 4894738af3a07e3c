//go:build linux

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/cmd/internal/outbox"
	"arctally/report/handover/storetest"
)

// A tablet whose store has no room says so and waits; once there is room, all of its jobs are there, whole.
func TestEngine_TabletWaitsForRoom(t *testing.T) {
	disk := t.TempDir()
	if err := unix.Mount("tmpfs", disk, "tmpfs", 0, "size=8m"); err != nil {
		t.Skip("no small disk can be made here: ", err)
	}
	t.Cleanup(func() { require.NoError(t, unix.Unmount(disk, unix.MNT_DETACH)) })
	e := storetest.StartOver(t, disk)
	storetest.Use(t, e)
	where := "s3://" + storetest.Bucket
	b := newTablet(t, 0, 3, e.Address)
	filling := filepath.Join(disk, "filling")
	fill(t, filling)
	b.begin(where)
	t.Cleanup(b.end)
	require.Eventually(t, func() bool {
		list, err := outbox.Read(b.folder)
		return err == nil && len(list.Rows) == 3 && list.Rows[0].State == outbox.Waits && strings.Contains(list.Rows[0].Says, "the store has no room") &&
			strings.Contains(list.Rows[0].Hint, "make room in the store")
	}, longest, 20*time.Millisecond)
	require.Zero(t, b.given())
	require.NoError(t, os.Remove(filling))
	b.kill() // begun anew it tries again at once, and not when it would have
	require.Eventually(t, func() bool { return b.given() == 3 }, longest, 20*time.Millisecond)
	b.requireSaysGiven(t)
	requireGiven(t, where, b.digests)
}

// fill leaves no room on a small disk.
func fill(t *testing.T, file string) {
	t.Helper()
	f, err := os.Create(file)
	require.NoError(t, err)
	for err == nil {
		_, err = f.Write(make([]byte, 64<<10))
	}
	require.ErrorIs(t, err, unix.ENOSPC)
	require.NoError(t, f.Close())
}
