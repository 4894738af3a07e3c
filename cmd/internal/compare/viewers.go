//go:build linux

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"time"

	"arctally/acquire/sensorbox"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/virtualbox"
	"arctally/testdata/job/demo"
)

// watchedFor is how long each number of viewers looks on: the processor time of it is a few
// hundred ms at the least.
const watchedFor = 12 * time.Second

// viewers measures what serve takes while it records 2 x 10 kHz in real time and so many
// look on. The box speaks in this process.
func (c *comparison) viewers(ctx context.Context) error {
	return c.inTurns(func(s *side, _ int) (err error) {
		job, err := jobfile.ReadIn(demo.Files, jobfile.Document)
		if err != nil {
			return err
		}
		plan := virtualbox.Plan(job, 1, nil)
		plan.PlaySpeed = 1
		box, err := sensorbox.New(plan)
		if err != nil {
			return err
		}
		port, err := box.Open()
		if err != nil {
			return err
		}
		ctx, stop := context.WithCancel(ctx)
		played := make(chan error, 1)
		go func() {
			_, err := box.Play(ctx)
			played <- err
		}()
		err = c.record(ctx, s, port)
		stop()
		if failed := <-played; !errors.Is(failed, context.Canceled) {
			err = errors.Join(err, failed)
		}
		return errors.Join(err, box.Close())
	})
}

// record has the program record from a port, and more and more viewers look on.
func (c *comparison) record(ctx context.Context, s *side, port string) error {
	folder, err := os.MkdirTemp(s.folder, "served-")
	if err != nil {
		return err
	}
	if err := os.CopyFS(folder, demo.Files); err != nil {
		return err
	}
	v, err := s.serveFolder(ctx, folder)
	if err != nil {
		return err
	}
	if err = v.begin(ctx, port); err == nil {
		time.Sleep(5 * time.Second) // the recording has begun, and everything is in memory that it needs
		for _, n := range []int{0, 1, 20, 64} {
			if err = c.watch(ctx, s, v, n); err != nil {
				break
			}
		}
	}
	return errors.Join(err, v.end())
}

// begin asks for a recording until there is one.
func (v *served) begin(ctx context.Context, port string) error {
	body := fmt.Sprintf(`{"job":%q,"port":%q}`, strings.TrimSuffix(jobfile.Document, filepath.Ext(jobfile.Document)), port)
	for began := time.Now(); time.Since(began) < patience && ctx.Err() == nil; time.Sleep(200 * time.Millisecond) {
		request, err := http.NewRequestWithContext(ctx, http.MethodPost, v.base+"/api/recording", strings.NewReader(body))
		if err != nil {
			return err
		}
		request.Header.Set("Content-Type", "application/json")
		answer, err := http.DefaultClient.Do(request)
		if err != nil {
			return err
		}
		text, err := io.ReadAll(answer.Body)
		if err := errors.Join(err, answer.Body.Close()); err != nil {
			return err
		}
		if recording, err := v.recording(ctx); err != nil || recording {
			return err
		}
		if answer.StatusCode >= http.StatusInternalServerError {
			return fmt.Errorf("the recording did not begin: %s", text)
		}
	}
	return errors.New("the recording did not begin")
}

// recording reports whether samples come.
func (v *served) recording(ctx context.Context) (bool, error) {
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, v.base+"/api/recording", http.NoBody)
	if err != nil {
		return false, err
	}
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		return false, err
	}
	text, err := io.ReadAll(answer.Body)
	return strings.Contains(string(text), `"phase":"recording"`), errors.Join(err, answer.Body.Close())
}

// watch has so many viewers look on for a while.
func (c *comparison) watch(ctx context.Context, s *side, v *served, viewers int) error {
	ctx, leave := context.WithCancel(ctx)
	defer leave()
	var sent atomic.Int64
	for range viewers {
		if err := v.view(ctx, &sent); err != nil {
			return err
		}
	}
	time.Sleep(2 * time.Second) // what each is told at first is over
	began, before := time.Now(), sent.Load()
	used, err := v.used()
	if err != nil {
		return err
	}
	time.Sleep(watchedFor)
	after, err := v.used()
	took := time.Since(began).Seconds()
	most, failed := v.mostMemory()
	if err := errors.Join(err, failed); err != nil {
		return err
	}
	const part = "serve, recording 2 x 10 kHz"
	goals := [2]string{}
	if viewers <= 20 {
		goals = [2]string{"at most 5", "at most 64"}
	}
	c.table.row(part, fmt.Sprintf("%d viewers", viewers), "% of a core", goals[0]).of(s, 100*(after-used)/took)
	c.table.row(part, fmt.Sprintf("%d viewers, most memory", viewers), "MB", goals[1]).of(s, most)
	if viewers > 0 {
		c.table.row(part, fmt.Sprintf("%d viewers, sent to each", viewers), "kB/s", "").of(s, float64(sent.Load()-before)/1e3/float64(viewers)/took)
	}
	return nil
}

// view looks on until ctx ends, and counts what is sent.
func (v *served) view(ctx context.Context, sent *atomic.Int64) error {
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, v.base+"/api/events", http.NoBody)
	if err != nil {
		return err
	}
	request.Header.Set("Accept-Encoding", "gzip, deflate, br, zstd")
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		return err
	}
	go func() {
		_, _ = io.Copy(counting{sent}, answer.Body) // until it is broken off
		_ = answer.Body.Close()
	}()
	return nil
}

// counting counts bytes.
type counting struct{ n *atomic.Int64 }

// Write implements io.Writer.
func (c counting) Write(b []byte) (int, error) {
	c.n.Add(int64(len(b)))
	return len(b), nil
}
