package workshop

import (
	"context"
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
	"arctally/acquire/port"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/terminal"
	"arctally/report/page"
)

// Who speaks on the ports comes as the values of a sensor; while a check has the box
// nobody listens, and while somebody listens nothing is recorded.
func TestListen(t *testing.T) {
	dir := t.TempDir()
	master, slave, err := pty.Open()
	require.NoError(t, err)
	defer func() { assert.NoError(t, slave.Close()) }()
	defer func() { assert.NoError(t, master.Close()) }()
	require.NoError(t, os.Symlink(slave.Name(), filepath.Join(dir, "usb-box-if00")))
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	go func() {
		for seq := uint32(0); ctx.Err() == nil; seq++ {
			line := link.AppendDelimited(nil, link.Line{Boot: 1, Seq: seq, TickUS: uint64(seq) * 1000, Voltage: link.Mean{Value: 17, Known: true}, Current: link.Mean{Value: 140, Known: true}})
			if _, err := master.Write(line); err != nil {
				return
			}
			time.Sleep(20 * time.Millisecond)
		}
	}()
	folder, err := openFolder(filepath.Dir(jobtest.Short(t, "helix", jobtest.OneTurn)))
	require.NoError(t, err)
	defer func() { assert.NoError(t, folder.close()) }()
	w := newWorkshop(context.Background(), folder, terminal.Quiet(time.Now), page.NewHub(), nil)
	defer w.close()
	w.places = port.In(dir)

	rows, err := w.Listen(context.Background())
	require.NoError(t, err)
	require.Len(t, rows, 1)
	assert.Equal(t, "speaks", rows[0].State)
	assert.Contains(t, rows[0].Says, "speaks delimited at 115200 baud")
	assert.Equal(t, map[string]string{"port": filepath.Join(dir, "usb-box-if00"), "link": "delimited", "baud": "115200"}, rows[0].Values)

	w.bench.Lock()
	_, err = w.Listen(context.Background())
	assert.ErrorIs(t, err, errBenchInUse)
	w.bench.Unlock()
}

func TestServe_ListenWhileRecording(t *testing.T) {
	s := demoSite(t, jobtest.Short(t, "helix", jobtest.TwoTurns), slowSpeed)
	s.start(page.StartRequest{Job: "job"})
	told := s.refused(http.MethodGet, "/ports", http.StatusConflict, nil)
	assert.Contains(t, told.Error, "a recording runs already, into job")
}
