//go:build linux

package main

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"

	"arctally/cmd/internal/jobfile"
)

// How often a window is looked at: until this much processor time is used, but for a few
// looks at least, and no more than so many.
const (
	enoughTime = 0.4 // s
	fewLooks   = 4
	manyLooks  = 40
)

// shortRecords are so many small records that stand newer in the folder than the one that is
// looked at: serve judges the newest ones when it starts, which is not what is measured.
const shortRecords = 4

// windowsLookedAt are the widths of the windows; all of the record is one more.
var windowsLookedAt = []struct {
	width time.Duration
	name  string
}{{time.Second, "1 s"}, {10 * time.Second, "10 s"}, {10 * time.Minute, "10 min"}, {time.Hour, "1 h"}}

// windows looks at windows of records of every length through HTTP. The first look is at
// one that nobody has looked at since the program began; again is the same one.
func (c *comparison) windows(ctx context.Context) error {
	for _, kind := range []string{live, imported} {
		for _, hours := range c.hours {
			err := c.inTurns(func(s *side, round int) error {
				file, err := s.record(ctx, kind, hours)
				if err != nil {
					return err
				}
				return c.look(ctx, s, &looking{kind: kind, file: file, hours: hours, random: rand.New(rand.NewPCG(1, uint64(round)))})
			})
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// looking is a record that is looked at.
type looking struct {
	kind, file string
	hours      float64
	random     *rand.Rand
	served     *served
}

func (c *comparison) look(ctx context.Context, s *side, l *looking) error {
	records, err := s.shortRecords(ctx)
	if err != nil {
		return err
	}
	if l.served, err = s.serve(ctx, append(records, l.file)...); err != nil {
		return err
	}
	err = l.served.settle()
	whole := time.Duration(l.hours * float64(time.Hour))
	if err == nil {
		err = c.lookAt(ctx, s, l, whole, "all", []int64{0})
	}
	for _, window := range windowsLookedAt {
		if window.width >= whole || err != nil {
			break
		}
		var from []int64
		for range manyLooks {
			from = append(from, l.random.Int64N(int64(whole-window.width)))
		}
		err = c.lookAt(ctx, s, l, window.width, window.name, from)
	}
	most, failed := mostMemory(l.served.process.Process.Pid)
	if err = errors.Join(err, failed, l.served.end()); err != nil {
		return err
	}
	c.table.row(l.part(), length(l.hours)+": most memory of serve", "MB", "").of(s, most)
	return nil
}

// shortRecords are those that stand newest.
func (s *side) shortRecords(ctx context.Context) (files []string, err error) {
	for k := range shortRecords {
		file := filepath.Join(s.folder, fmt.Sprintf("short-%d%s", k, jobfile.RecordExtension))
		if _, err := os.Stat(file); err != nil {
			if err := s.work(ctx, new(took), "write", file, "0.002", live); err != nil {
				return nil, err
			}
		}
		now := time.Now()
		if err := os.Chtimes(file, now, now); err != nil {
			return nil, err
		}
		files = append(files, file)
	}
	return files, nil
}

func (l *looking) part() string { return "windows through HTTP, records as written by " + l.kind }

// lookAt looks at windows that begin at these ticks, and then at the same ones again.
func (c *comparison) lookAt(ctx context.Context, s *side, l *looking, width time.Duration, name string, from []int64) error {
	for _, look := range []string{"first look", "again"} {
		each, looks, err := l.ask(ctx, width, from)
		if err != nil {
			return err
		}
		from = from[:min(looks, len(from))]
		c.table.row(l.part(), fmt.Sprintf("%s: window of %s, %s", length(l.hours), name, look), "ms", "at most 5").of(s, 1e3*each)
	}
	return nil
}

// ask asks for windows, and returns the processor time of one in s, and how many they were.
func (l *looking) ask(ctx context.Context, width time.Duration, from []int64) (each float64, looks int, err error) {
	begun, err := l.served.used()
	if err != nil {
		return 0, 0, err
	}
	record, took := strings.TrimSuffix(filepath.Base(l.file), jobfile.RecordExtension), 0.0
	for looks < len(from) && (looks < fewLooks || took < enoughTime) {
		path := fmt.Sprintf("/api/records/%s/trace?epoch=0&from=%d&until=%d&columns=1200", record, from[looks], from[looks]+int64(width))
		status, _, err := l.served.ask(ctx, path)
		if err == nil && status != http.StatusOK {
			err = fmt.Errorf("%s: %s", path, http.StatusText(status))
		}
		used, failed := l.served.used()
		if err := errors.Join(err, failed); err != nil {
			return 0, 0, err
		}
		looks, took = looks+1, used-begun
	}
	return took / float64(looks), looks, nil
}
