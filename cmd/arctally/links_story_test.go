//go:build linux

package main

import (
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creack/pty"
	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/sensorbox"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/links"
	"arctally/cmd/internal/virtualbox"
)

// plugIn FOLDER/NAME JOB.yaml LINK has a virtual sensor box speak by a link on a port
// of that name, on and on, and as fast as it is read. It does not hold the port itself.
func plugIn(ts *testscript.TestScript, _ bool, args []string) {
	p, err := jobfile.Read(ts.MkAbs(args[1]))
	ts.Check(err)
	laid := virtualbox.Plan(p, 1, nil)
	laid.Link = args[2]
	box, err := sensorbox.New(laid)
	ts.Check(err)
	master, err := openAt(ts.MkAbs(args[0]))
	ts.Check(err)
	ctx, stop := context.WithCancel(context.Background())
	spoken := make(chan error, 1)
	go func() {
		var err error
		for err == nil {
			_, err = box.Write(ctx, master)
		}
		spoken <- err
	}()
	ts.Defer(func() {
		stop()
		ts.Check(master.Close())
		if err := <-spoken; !errors.Is(err, context.Canceled) && !errors.Is(err, os.ErrClosed) {
			ts.Check(err)
		}
	})
}

// plugSilent FOLDER/NAME makes a port of that name on which nothing comes.
func plugSilent(ts *testscript.TestScript, _ bool, args []string) {
	master, err := openAt(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Defer(func() { ts.Check(master.Close()) })
}

// openAt makes a pair of pseudo-terminals behind a name, with its other end alone open;
// closing it ends a write that nobody takes.
func openAt(name string) (*os.File, error) {
	master, slave, err := pty.Open()
	if err != nil {
		return nil, err
	}
	node := slave.Name()
	err = errors.Join(os.MkdirAll(filepath.Dir(name), 0o755), os.Symlink(node, name))
	set, raw := unix.IoctlGetTermios(int(slave.Fd()), unix.TCGETS)
	if raw == nil {
		set.Lflag &^= unix.ECHO | unix.ICANON | unix.ISIG
		set.Oflag, set.Iflag = 0, 0
		raw = unix.IoctlSetTermios(int(slave.Fd()), unix.TCSETS, set)
	}
	fd, dup := unix.Dup(int(master.Fd()))
	err = errors.Join(err, raw, dup, unix.SetNonblock(fd, true), slave.Close(), master.Close())
	return os.NewFile(uintptr(fd), name), err
}

// What is found out about a port is what a recording wants: the lines that are printed go
// into a job file, and the job is recorded by them.
func TestLinks_ToTheRecord(t *testing.T) {
	if testing.Short() {
		t.Skip("it needs a whole job")
	}
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(keyway)))
	p, err := jobfile.Read(filepath.Join(dir, "job.yaml"))
	require.NoError(t, err)
	for _, name := range []string{"binary", "delimited", "columns"} {
		t.Run(name, func(t *testing.T) {
			folder := t.TempDir()
			laid := virtualbox.Plan(p, 1, nil)
			laid.Link, laid.Lead, laid.PlaySpeed = name, 60, 30
			if name == "columns" {
				laid.SampleRate = 1000
			}
			box, err := sensorbox.New(laid)
			require.NoError(t, err)
			node, err := box.Open()
			require.NoError(t, err)
			require.NoError(t, os.Symlink(node, filepath.Join(folder, "usb-box-if00")))
			ctx, stop := context.WithCancel(context.Background())
			played := make(chan error, 1)
			go func() {
				_, err := box.Play(ctx)
				played <- errors.Join(err, box.Close())
			}()
			defer func() {
				stop()
				if err := <-played; !errors.Is(err, context.Canceled) {
					assert.NoError(t, err)
				}
			}()
			var out, said strings.Builder
			require.Zero(t, run(ctx, []string{"links", "--in", folder, "--for", "200ms", "--json"}, &out, &said), said.String())
			var found links.Report
			require.NoError(t, json.Unmarshal([]byte(out.String()), &found))
			require.Len(t, found.Ports, 1)
			assert.Equal(t, name, found.Ports[0].Speech.Link)

			text, err := os.ReadFile(filepath.Join(dir, "job.yaml"))
			require.NoError(t, err)
			lines := withoutSensors(string(text)) + found.Sensors
			job, err := procedure.ParseJob("job.yaml", []byte(lines))
			require.NoError(t, err)
			require.Len(t, job.Sensors, 1)
			file, kept := filepath.Join(dir, name+".yaml"), filepath.Join(t.TempDir(), "bore.arctally")
			require.NoError(t, os.WriteFile(file, []byte(lines), 0o600))
			out.Reset()
			said.Reset()
			status := run(ctx, []string{"record", file, "-o", kept, "--patience", "100ms"}, &out, &said)
			assert.Contains(t, []int{0, 3}, status, said.String())
			assert.Contains(t, out.String(), "pass 1, layer 1: ")
			out.Reset()
			require.Zero(t, run(ctx, []string{"passes", kept}, &out, &said), said.String())
			assert.Equal(t, name == "columns", strings.Contains(out.String(), "unprotected link"), out.String())
		})
	}
}

// withoutSensors is a job file that names none.
func withoutSensors(text string) string {
	var kept []string
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(line, "sensors:") {
			kept = append(kept, line)
		}
	}
	return strings.Join(kept, "")
}
