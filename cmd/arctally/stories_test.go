//go:build linux

package main

import (
	"context"
	"database/sql"
	"errors"
	"image"
	"image/png"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/rogpeppe/go-internal/testscript"
	"golang.org/x/sys/unix"

	"arctally/acquire/port"
	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/virtualbox"
)

// TestStories tells one story a file: what a person types, and what comes back.
func TestStories(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata",
		RequireExplicitExec: true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("TZ", "UTC")
			env.Setenv("XDG_CACHE_HOME", filepath.Join(env.WorkDir, ".tmp", "cache"))
			env.Setenv("XDG_CONFIG_HOME", filepath.Join(env.WorkDir, "config"))
			records, err := filepath.Abs("../../testdata/record")
			if err != nil {
				return err
			}
			env.Setenv("FROZEN", records)
			return os.CopyFS(env.WorkDir, os.DirFS(keyway))
		},
		Condition: condition,
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status": exitStatus, "box": playBox, "noise": playNoise, "busy": holdPort,
			"sql": changeRecord, "cut": cutFile, "readonly": makeReadOnly,
			"free": freeAddress, "ask": askPage, "await": awaitRecord, "plug": plugIn, "picture": makePicture, "bundle": findBundle, "same": sameFolders, "remanifest": remanifest, "plugsilent": plugSilent,
		},
	})
}

// condition knows whether a folder can be made read-only, even for root.
func condition(name string) (bool, error) {
	if name != "readonly" {
		return false, errors.New("unknown condition " + name)
	}
	if os.Geteuid() != 0 {
		return true, nil
	}
	folder, err := os.MkdirTemp("", "arctally-mount-")
	if err != nil {
		return false, err
	}
	unlock, mounted := lockFolder(folder)
	if mounted == nil {
		mounted = unlock()
	}
	return mounted == nil, os.Remove(folder)
}

// lockFolder makes a folder read-only and returns how to undo it.
func lockFolder(folder string) (unlock func() error, err error) {
	if os.Geteuid() != 0 {
		return func() error { return os.Chmod(folder, 0o755) }, os.Chmod(folder, 0o555)
	}
	// Root writes whatever the mode says, but not on a mount that is read-only.
	if err := unix.Mount(folder, folder, "", unix.MS_BIND, ""); err != nil {
		return nil, err
	}
	unlock = func() error { return unix.Unmount(folder, unix.MNT_DETACH) }
	if err := unix.Mount("", folder, "", unix.MS_BIND|unix.MS_REMOUNT|unix.MS_RDONLY, ""); err != nil {
		return nil, errors.Join(err, unlock())
	}
	return unlock, nil
}

// makePicture FILE writes a small photograph, as PNG.
func makePicture(ts *testscript.TestScript, _ bool, args []string) {
	file, err := os.Create(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(errors.Join(png.Encode(file, image.NewGray(image.Rect(0, 0, 4, 3))), file.Close()))
}

// exitStatus N COMMAND ... runs a command and wants it to end with status N.
func exitStatus(ts *testscript.TestScript, _ bool, args []string) {
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	var ended *exec.ExitError
	if err := ts.Exec(args[1], args[2:]...); errors.As(err, &ended) {
		got = ended.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("the command ended with status %d, not %d", got, want)
	}
}

// playBox NAME JOB.yaml [SPEED] has a virtual sensor box lay a job on a serial
// port, whose name is then in the environment variable NAME, and unplugs it
// after. Without a speed it speaks as fast as it is read.
func playBox(ts *testscript.TestScript, _ bool, args []string) {
	p, err := jobfile.Read(ts.MkAbs(args[1]))
	ts.Check(err)
	laid := virtualbox.Plan(p, 1, nil)
	if len(args) > 2 {
		laid.PlaySpeed, err = strconv.ParseFloat(args[2], 64)
		ts.Check(err)
	}
	box, err := sensorbox.New(laid)
	ts.Check(err)
	name, err := box.Open()
	ts.Check(err)
	ts.Setenv(args[0], name)
	ctx, stop := context.WithCancel(context.Background())
	played := make(chan error, 1)
	go func() {
		_, err := box.Play(ctx)
		played <- errors.Join(err, box.Close())
	}()
	ts.Defer(func() {
		stop()
		if err := <-played; !errors.Is(err, context.Canceled) {
			ts.Check(err)
		}
	})
}

// longest is how long a story waits for what has to come, on a machine that has
// other things to do.
const longest = 5 * time.Minute

// awaitRecord FILE SECONDS waits until a record that is being made holds samples of
// so many seconds on the clock of the box.
func awaitRecord(ts *testscript.TestScript, _ bool, args []string) {
	want, err := strconv.ParseFloat(args[1], 64)
	ts.Check(err)
	for deadline := time.Now().Add(longest); ; time.Sleep(50 * time.Millisecond) {
		held, err := heldBy(ts.MkAbs(args[0]))
		if err == nil && held.Seconds() >= want {
			return
		}
		if time.Now().After(deadline) {
			ts.Fatalf("%s holds %s after %s: %v", args[0], held, longest, err)
		}
	}
}

// heldBy is how long the samples of a record last.
func heldBy(file string) (held time.Duration, err error) {
	reader, err := record.Open(file)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	spans, err := reader.Epochs()
	for _, s := range spans {
		held += time.Duration(s.Last - s.First)
	}
	return held, err
}

// openPair opens a pair of pseudo-terminals until the story ends.
func openPair(ts *testscript.TestScript, variable string) (master *os.File) {
	master, slave, err := pty.Open()
	ts.Check(err)
	ts.Setenv(variable, slave.Name())
	ts.Defer(func() { ts.Check(errors.Join(master.Close(), slave.Close())) })
	return master
}

// playNoise NAME makes a port that sends what no link allows, as a port does
// that is read at the wrong baud rate.
func playNoise(ts *testscript.TestScript, _ bool, args []string) {
	master := openPair(ts, args[0])
	// A write that nobody reads must not outlast the story.
	ts.Check(unix.SetNonblock(int(master.Fd()), true))
	random, bytes := rand.NewChaCha8([32]byte{}), make([]byte, 1024)
	ticker, done := time.NewTicker(10*time.Millisecond), make(chan struct{})
	ts.Defer(func() { close(done) })
	go func() {
		defer ticker.Stop()
		for {
			select {
			case <-done:
				return
			case <-ticker.C:
				_, _ = random.Read(bytes)  // never fails
				_, _ = master.Write(bytes) // noise that does not fit is lost
			}
		}
	}()
}

// holdPort NAME makes a port that somebody else has open.
func holdPort(ts *testscript.TestScript, _ bool, args []string) {
	openPair(ts, args[0])
	held, err := port.Open(context.Background(), port.Config{Name: ts.Getenv(args[0])})
	ts.Check(err)
	ts.Defer(func() { ts.Check(held.Close()) })
}

// changeRecord FILE SQL changes a record behind the back of the program.
func changeRecord(ts *testscript.TestScript, _ bool, args []string) {
	db, err := sql.Open("sqlite", ts.MkAbs(args[0]))
	ts.Check(err)
	_, err = db.Exec(args[1])
	ts.Check(errors.Join(err, db.Close()))
}

// cutFile FILE SHARE leaves only so many per cent of a file.
func cutFile(ts *testscript.TestScript, _ bool, args []string) {
	share, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	info, err := os.Stat(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Check(os.Truncate(ts.MkAbs(args[0]), info.Size()*share/100))
}

// makeReadOnly FOLDER makes a folder in which nobody can write until the story ends.
func makeReadOnly(ts *testscript.TestScript, _ bool, args []string) {
	unlock, err := lockFolder(ts.MkAbs(args[0]))
	ts.Check(err)
	ts.Defer(func() { ts.Check(unlock()) })
}
