package workshop

import (
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/record"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page"
	"arctally/report/page/live"
)

// A recording waits on a full disk, and goes on in the same record once there is room.
func TestServe_DiskFull(t *testing.T) {
	folder := t.TempDir()
	if err := unix.Mount("tmpfs", folder, "tmpfs", 0, "size=20000k"); err != nil {
		t.Skipf("a small disk cannot be made here: %v", err)
	}
	t.Cleanup(func() { require.NoError(t, unix.Unmount(folder, 0)) })
	s := serveFolder(t, folder, Options{Box: &virtualbox.Options{Speed: 40, Layers: 1, Faults: virtualbox.NoFaults}})
	inTheWay := filepath.Join(folder, ".in-the-way")
	require.NoError(t, os.WriteFile(inTheWay, make([]byte, 17000<<10), 0o600))
	s.start(page.StartRequest{Job: "demo"})
	disk := func(l *live.State) *live.Alarm {
		for k := range l.Alarms {
			if l.Alarms[k].Rule == "disk" && strings.Contains(l.Alarms[k].Words, "full") {
				return &l.Alarms[k]
			}
		}
		return nil
	}
	full := s.until("a full disk", func(l *live.State) bool { return disk(l) != nil })
	require.True(t, disk(&full).Now)
	require.NoError(t, os.Remove(inTheWay))
	more := s.until("samples after it", func(l *live.State) bool { return l.Epoch > full.Epoch && l.DurableSamples > full.DurableSamples })
	require.NotNil(t, disk(&more), "until somebody has seen it")
	assert.False(t, disk(&more).Now)
	assert.Contains(t, disk(&more).Words, "what came between is missing")
	s.ask(http.MethodDelete, "/recording", http.StatusOK, nil, nil)
	require.NoError(t, record.Verify(filepath.Join(folder, "demo.arctally")))
	status, answer := s.send(http.MethodGet, "/records/demo", nil)
	for ; status == http.StatusAccepted; status, answer = s.send(http.MethodGet, "/records/demo", nil) {
		continue
	}
	require.Equal(t, http.StatusOK, status)
	s.compareWithFile("demo", answer)
	reader, err := record.Open(filepath.Join(folder, "demo.arctally"))
	require.NoError(t, err)
	events, err := reader.Events()
	require.NoError(t, err)
	require.NoError(t, reader.Close())
	said := 0
	for _, e := range events {
		if strings.HasPrefix(e.Text, "The disk was full from") {
			said++
		}
	}
	assert.Equal(t, 1, said, "the record says what is missing")
}
