package handover

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/report/handover/storetest"
)

// A store whose disk is full says so, and takes the rest once there is room.
func TestEngine_WithoutRoom(t *testing.T) {
	disk := t.TempDir()
	if err := unix.Mount("tmpfs", disk, "tmpfs", 0, "size=4m"); err != nil {
		t.Skip("no small disk can be made here: ", err)
	}
	t.Cleanup(func() { require.NoError(t, unix.Unmount(disk, unix.MNT_DETACH)) })
	e := storetest.StartOver(t, disk)
	s, files := bucket(t, e), bundleFiles(t)
	files = append(files, File{Name: SamplesName, Format: "x", Write: text("", strings.Repeat("x", 2<<20)).Write})
	filling := filepath.Join(disk, "filling")
	require.NoError(t, os.WriteFile(filling, make([]byte, 3<<20), 0o600))
	_, err := give(t, s, files)
	requireKind(t, Full, err, "no room")
	_, err = Read(context.Background(), s, digest)
	requireKind(t, Torn, err)
	require.NoError(t, os.Remove(filling))
	given, err := give(t, s, files)
	require.NoError(t, err)
	require.Equal(t, 2, given.Wrote, "what was missing, and the manifest")
}
