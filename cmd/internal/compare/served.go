//go:build linux

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"arctally/cmd/internal/apart/aparttest"
)

// served is a program that serves a folder, as people start it.
type served struct {
	process *exec.Cmd
	base    string
	folder  string
}

// patience is how long something may take on a machine that does other things.
const patience = 20 * time.Minute

// serve starts the program for a folder of its own with these records.
func (s *side) serve(ctx context.Context, records ...string) (*served, error) {
	folder, err := os.MkdirTemp(s.folder, "served-")
	if err != nil {
		return nil, err
	}
	for _, record := range records {
		if err := os.Link(record, filepath.Join(folder, filepath.Base(record))); err != nil {
			return nil, err
		}
	}
	return s.serveFolder(ctx, folder)
}

// serveFolder starts the program for a folder, which goes when it ends.
func (s *side) serveFolder(ctx context.Context, folder string) (*served, error) {
	l, err := new(net.ListenConfig).Listen(ctx, "tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	address := l.Addr().String()
	if err := l.Close(); err != nil {
		return nil, err
	}
	v := &served{base: "http://" + address, folder: folder}
	v.process = s.command(ctx, s.program(), []string{"serve", "--listen", address, folder})
	if err := v.process.Start(); err != nil {
		return nil, err
	}
	if err := v.until(ctx, "/", http.StatusOK); err != nil {
		return nil, errors.Join(err, v.end())
	}
	return v, nil
}

func (v *served) end() error {
	if err := v.process.Process.Signal(os.Interrupt); err != nil {
		return err
	}
	return errors.Join(v.process.Wait(), os.RemoveAll(v.folder))
}

// processes are the program, and where it has one the recorder that works for it.
func (v *served) processes() ([]int, error) {
	recorder, err := aparttest.RecorderOf(v.folder)
	if recorder == 0 || err != nil {
		return []int{v.process.Process.Pid}, err
	}
	return []int{v.process.Process.Pid, recorder}, nil
}

// used is the processor time of the program and its recorder so far, in s.
func (v *served) used() (float64, error) { return v.sum(processorTime) }

// mostMemory is the most memory that each of them has had, added up, in MB; what they share is in it once.
func (v *served) mostMemory() (float64, error) {
	return v.sum(func(process int) (float64, error) {
		most, err := mostMemory(process)
		twice, failed := aparttest.CountedTwice(process)
		return most - float64(twice)/1e6, errors.Join(err, failed)
	})
}

func (v *served) sum(of func(process int) (float64, error)) (all float64, err error) {
	processes, err := v.processes()
	for _, process := range processes {
		x, failed := of(process)
		all, err = all+x, errors.Join(err, failed)
	}
	return all, err
}

// ask asks for something, and returns how many bytes came.
func (v *served) ask(ctx context.Context, path string) (status int, size int64, err error) {
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, v.base+path, http.NoBody)
	if err != nil {
		return 0, 0, err
	}
	request.Header.Set("Accept-Encoding", "gzip, deflate, br, zstd")
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		return 0, 0, err
	}
	size, err = io.Copy(io.Discard, answer.Body)
	return answer.StatusCode, size, errors.Join(err, answer.Body.Close())
}

// until asks again and again until the status is this one.
func (v *served) until(ctx context.Context, path string, want int) error {
	for began := time.Now(); time.Since(began) < patience && ctx.Err() == nil; time.Sleep(100 * time.Millisecond) {
		if status, _, err := v.ask(ctx, path); err == nil && status == want {
			return nil
		}
	}
	return fmt.Errorf("%s did not come to answer %s", v.base, path)
}

// settle waits until the program does nothing any more.
func (v *served) settle() error {
	const still = 5e-3 // s of processor time in half a second: it only looks at the clock
	for quiet := 0; quiet < 2; {
		before, err := v.used()
		if err != nil {
			return err
		}
		time.Sleep(500 * time.Millisecond)
		after, err := v.used()
		if err != nil {
			return err
		}
		if quiet++; after-before > still {
			quiet = 0
		}
	}
	return nil
}
