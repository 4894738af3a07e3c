//go:build linux

package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"

	"arctally/cmd/internal/jobfile"
	"arctally/testdata/job/demo"
)

// The file of the demo's procedure, and what is changed in it.
const (
	procedureFile  = "procedures/gmaw-short-arc.yaml"
	limitWritten   = "voltage: 16.5..19.0 V"
	thresholdAsked = "arc_current: 15 A"
)

// judging judges a long record as people do: the first time, with nothing changed, with
// another limit, and with another threshold of the arc.
func (c *comparison) judging(ctx context.Context) error {
	passes := [2][]byte{}
	err := c.inTurns(func(s *side, round int) error {
		file, err := s.record(ctx, live, c.judgedHours())
		if err != nil {
			return err
		}
		said, err := c.judgeOnce(ctx, s, file, round)
		if s == c.sides[1] {
			passes[1] = said
		} else {
			passes[0] = said
		}
		return err
	})
	if err == nil && !bytes.Equal(ofAnyName(passes[0]), ofAnyName(passes[1])) {
		fmt.Println("NOTE: the two sides judge the same record differently")
	}
	return err
}

// ofAnyName is what passes says of a record, whatever the file is called.
func ofAnyName(said []byte) []byte {
	_, after, _ := bytes.Cut(said, []byte(`"job"`))
	return after
}

func (c *comparison) judgeOnce(ctx context.Context, s *side, file string, round int) (said []byte, err error) {
	part := "judging " + length(c.judgedHours()) + " of 2 x 10 kHz, live"
	var bare took
	if err := errors.Join(s.forget(), s.work(ctx, &bare, "decode", file)); err != nil {
		return nil, err
	}
	c.table.row(part, "bytes a value in the record", "bytes", "at most 0.60").of(s, bare.Bytes/bare.Values)
	c.table.row(part, "length of a group", "s", "").of(s, bare.Group)
	c.table.row(part, "bare decoding", "M values/core-s", "at least 300").of(s, bare.Values/bare.Seconds/1e6)
	limit, err := jobWith(s.scratch("limit"), limitWritten, fmt.Sprintf("voltage: 16.%d..19.0 V", 4-round))
	if err != nil {
		return nil, err
	}
	threshold, err := jobWith(s.scratch("threshold"), thresholdAsked, fmt.Sprintf("arc_current: %d A", 16+round))
	if err != nil {
		return nil, err
	}
	for _, look := range []struct {
		what, goal string
		ratio      string // what it is to be against bare decoding
		args       []string
	}{
		{"the first time", "", "at most 1.1", nil},
		{"again, unchanged", "at most 0.1", "", nil},
		{"with a changed limit", "at most 2", "", []string{"--job", limit}},
		{"with a changed arc threshold", "", "", []string{"--job", threshold}},
	} {
		u, err := s.run(ctx, append([]string{"passes", file, "--json"}, look.args...)...)
		if err != nil {
			return nil, err
		}
		c.table.row(part, "passes, "+look.what, "s", look.goal).of(s, u.seconds)
		c.table.row(part, "  against bare decoding, "+look.what, "x", look.ratio).of(s, u.seconds/bare.Seconds)
		if look.args == nil {
			said = u.said
			c.table.row(part, "kept of it, beside the record", "MB", "").of(s, s.keeps()/1e6)
		}
	}
	if round > 0 { // where nothing is kept each of these judges all of it once more
		return said, nil
	}
	return said, c.lookAgain(ctx, s, part, file)
}

// lookAgain asks for what is known of a record that was judged before, and did not change.
func (c *comparison) lookAgain(ctx context.Context, s *side, part, file string) error {
	for _, args := range [][]string{{"findings", file}, {"report", file, "-o", s.scratch("report.html")}} {
		u, err := s.run(ctx, args...)
		if err != nil {
			return err
		}
		c.table.row(part, args[0]+", unchanged", "s", "at most 0.1").of(s, u.seconds)
	}
	v, err := s.serve(ctx, file)
	if err != nil {
		return err
	}
	err = v.until(ctx, "/api/records/"+strings.TrimSuffix(filepath.Base(file), jobfile.RecordExtension), http.StatusOK)
	used, failed := v.used()
	if err = errors.Join(err, failed, v.end()); err != nil {
		return err
	}
	c.table.row(part, "serve started, and the page of the job, unchanged", "s", "at most 0.1").of(s, used)
	return nil
}

// jobWith writes the demo's job into a folder, with one thing in its procedure changed.
func jobWith(folder, written, want string) (file string, err error) {
	job, err := fs.ReadFile(demo.Files, jobfile.Document)
	if err != nil {
		return "", err
	}
	procedure, err := fs.ReadFile(demo.Files, procedureFile)
	if err != nil {
		return "", err
	}
	if strings.Count(string(procedure), written) != 1 {
		return "", fmt.Errorf("the procedure does not say %q once", written)
	}
	changed := strings.Replace(string(procedure), written, want, 1)
	file = filepath.Join(folder, jobfile.Document)
	return file, errors.Join(
		os.MkdirAll(filepath.Join(folder, filepath.Dir(procedureFile)), 0o750),
		os.WriteFile(file, job, 0o600),
		os.WriteFile(filepath.Join(folder, procedureFile), []byte(changed), 0o600),
	)
}
