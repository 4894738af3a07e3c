//go:build linux

package record

import (
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// The ioctl with which ext4 stops as a disk without power does: nothing more
// reaches the disk, not even the file system's own log. From linux/fs/ext4/ext4.h:
// EXT4_IOC_SHUTDOWN is _IOR('X', 125, __u32), and 2 is "no log flush".
const (
	ext4Shutdown   = 0x8004587d
	ext4NoLogFlush = 2
)

// powerCuts turns the test on: it needs root, mkfs.ext4 and a loop device, and mounts a folder.
const powerCuts = "ARCTALLY_POWER_CUTS"

// TestWriter_PowerCutLosesNothingAcknowledged cuts the power of a small disk
// again and again while a record on it is written. With synchronous=NORMAL in
// place of FULL it fails at the first cut.
func TestWriter_PowerCutLosesNothingAcknowledged(t *testing.T) {
	cuts, err := strconv.Atoi(os.Getenv(powerCuts))
	if err != nil {
		t.Skip("set " + powerCuts + " to the number of power cuts to stage, as root: it mounts a loop device")
	}
	dir := t.TempDir()
	image, mount := filepath.Join(dir, "disk"), filepath.Join(dir, "mount")
	require.NoError(t, os.Mkdir(mount, 0o755))
	require.NoError(t, os.WriteFile(image, nil, 0o600))
	require.NoError(t, os.Truncate(image, 256<<20))
	command(t, "mkfs.ext4", "-q", "-F", image)
	t.Cleanup(func() { _ = exec.Command("umount", mount).Run() }) // where the test failed in between
	path := filepath.Join(mount, "job.arc")
	r := rand.New(rand.NewPCG(5, 6))
	acknowledged, kept := 0, 0
	for cut := 0; ; cut++ {
		command(t, "mount", "-o", "loop", image, mount)
		if _, err := os.Stat(path); err == nil {
			require.NoError(t, Verify(path))
			kept = countSamples(t, path)
		}
		require.GreaterOrEqual(t, kept, acknowledged)
		if cut == cuts {
			break
		}
		acknowledged = max(acknowledged, cutPower(t, path, mount, r.IntN(1500)))
		command(t, "umount", mount)
	}
	command(t, "umount", mount)
	t.Logf("%d power cuts: %d samples acknowledged, %d kept", cuts, acknowledged, kept)
	require.Positive(t, acknowledged)
}

// cutPower writes for a while, cuts the power, and returns what was acknowledged last.
func cutPower(t *testing.T, path, mount string, more int) int {
	t.Helper()
	return interrupt(t, path, more, func(writer *os.Process) {
		defer func() { _ = writer.Kill() }() // it may have gone by itself; its end tells
		d, err := os.Open(mount)
		require.NoError(t, err)
		require.NoError(t, unix.IoctlSetPointerInt(int(d.Fd()), ext4Shutdown, ext4NoLogFlush))
		require.NoError(t, d.Close())
	})
}

func command(t *testing.T, name string, args ...string) {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	require.NoError(t, err, string(out))
}
