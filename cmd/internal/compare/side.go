//go:build linux

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"time"

	"golang.org/x/sys/unix"
)

// side is one of the two programs, with its records.
type side struct {
	name, folder string
}

func (s *side) program() string { return filepath.Join(s.folder, "arctally") }
func (s *side) rig() string     { return filepath.Join(s.folder, "rig") }
func (s *side) home() string    { return filepath.Join(s.folder, "home") }

// cache is where the program keeps results, if it does.
func (s *side) cache() string { return filepath.Join(s.home(), "cache") }

// scratch is a file that nobody needs afterwards.
func (s *side) scratch(name string) string { return filepath.Join(s.folder, "scratch-"+name) }

// forget takes away what was kept of results.
func (s *side) forget() error { return os.RemoveAll(s.cache()) }

// usage is what a program took from its start to its end.
type usage struct {
	seconds float64 // of processor time
	memory  float64 // MB at most
	said    []byte
}

// run carries a command of the program out. That findings are open is no failure.
func (s *side) run(ctx context.Context, args ...string) (usage, error) {
	return s.carryOut(ctx, s.program(), args, 3)
}

// work has the rig do something, and reads what it says into an answer.
func (s *side) work(ctx context.Context, answer any, args ...string) error {
	u, err := s.carryOut(ctx, s.rig(), args)
	if err != nil {
		return err
	}
	return json.Unmarshal(u.said, answer)
}

// keeps is how many bytes the side keeps of results by now.
func (s *side) keeps() (size float64) {
	_ = filepath.WalkDir(s.cache(), func(_ string, entry fs.DirEntry, err error) error { // what is not there has no size
		if err == nil && entry.Type().IsRegular() {
			if info, gone := entry.Info(); gone == nil {
				size += float64(info.Size())
			}
		}
		return nil
	})
	return size
}

func (s *side) command(ctx context.Context, program string, args []string) *exec.Cmd {
	c := exec.CommandContext(ctx, program, args...)
	c.Env = append(os.Environ(), "HOME="+s.home(), "XDG_CACHE_HOME="+s.cache(), "XDG_CONFIG_HOME="+s.home(), "XDG_DATA_HOME="+s.home())
	return c
}

func (s *side) carryOut(ctx context.Context, program string, args []string, allowed ...int) (u usage, err error) {
	c := s.command(ctx, program, args)
	var out, failed bytes.Buffer
	c.Stdout, c.Stderr = &out, &failed
	if err := c.Start(); err != nil {
		return u, err
	}
	ended := make(chan error, 1)
	go func() { ended <- c.Wait() }()
	for waiting := true; waiting; {
		select {
		case err = <-ended:
			waiting = false
		case <-time.After(10 * time.Millisecond): // at the end nobody knows any more how much it was
			if most, gone := mostMemory(c.Process.Pid); gone == nil {
				u.memory = most
			}
		}
	}
	if err != nil && !slices.Contains(allowed, c.ProcessState.ExitCode()) {
		return u, fmt.Errorf("%s %v: %w: %s", program, args, err, failed.Bytes())
	}
	u.seconds, u.said = (c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Seconds(), out.Bytes()
	return u, nil
}

var mostResident = regexp.MustCompile(`VmHWM:\s+(\d+) kB`)

// mostMemory is the most memory in MB that a process has had.
func mostMemory(process int) (float64, error) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", process))
	if err != nil {
		return 0, err
	}
	found := mostResident.FindSubmatch(text)
	if found == nil {
		return 0, errors.New("it has ended")
	}
	kB, err := strconv.ParseFloat(string(found[1]), 64)
	return kB * 1024 / 1e6, err
}

// processorTime is that of another process so far, in s: its own clock in ns, which has no
// ticks and counts threads that have ended too.
func processorTime(process int) (float64, error) {
	const scheduled = 2 // CPUCLOCK_SCHED of clock_getcpuclockid
	var t unix.Timespec
	err := unix.ClockGettime(int32(^process<<3|scheduled), &t)
	return float64(t.Nano()) / 1e9, err
}
