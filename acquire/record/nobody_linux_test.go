package record

import (
	"os"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// asNobody runs do with the file rights of a user who owns nothing here.
func asNobody(t *testing.T, do func()) {
	t.Helper()
	if os.Getuid() != 0 {
		do()
		return
	}
	runtime.LockOSThread() // the rights belong to the thread
	defer runtime.UnlockOSThread()
	const nobody = 65534
	_, err := unix.SetfsuidRetUid(nobody)
	require.NoError(t, err)
	defer func() {
		_, err := unix.SetfsuidRetUid(0)
		require.NoError(t, err)
	}()
	do()
}
