package recording

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strconv"
	"time"

	"arctally/acquire/capture"
	"arctally/acquire/clock"
	"arctally/acquire/record"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/sealing"
	"arctally/cmd/internal/terminal"
)

// Import makes the record; a capture that cannot be read leaves none.
func Import(ctx context.Context, screen *terminal.Screen, name string, o capture.Options, p *jobfile.File, file string) (err error) {
	source, err := os.Open(name)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, source.Close()) }()
	info, err := source.Stat()
	if err != nil {
		return err
	}
	writer, err := p.CreateRecord(file, screen.Now())
	if err != nil {
		return err
	}
	bar := screen.Progress("importing " + name)
	defer bar.Clear()
	in := &interruptible{File: source, ctx: ctx}
	summary, err := capture.Import(in, info.Size(), name, o, writer, func(done, total int64) { bar.Show(float64(done) / float64(total)) })
	if err == nil {
		err = dateRecord(writer, summary)
	}
	if err != nil {
		return errors.Join(err, jobfile.Discard(writer, file))
	}
	bar.Clear()
	screen.Tell("%s", importLine(summary))
	if trouble := sealing.Trouble(); trouble != "" {
		screen.Tell("%s", trouble)
	}
	return writer.Close()
}

// interruptible is a file whose reading ends with a context.
type interruptible struct {
	*os.File
	ctx context.Context
}

// ReadAt implements io.ReaderAt.
func (f *interruptible) ReadAt(p []byte, offset int64) (int, error) {
	if err := f.ctx.Err(); err != nil {
		return 0, err
	}
	return f.File.ReadAt(p, offset)
}

// dateRecord tells the record that ticks are Unix time, where they are.
func dateRecord(writer *record.Writer, s capture.Summary) error {
	if !s.Dated {
		return nil
	}
	for epoch := range s.Epochs {
		at := time.Unix(0, s.First)
		if err := writer.Clock(clock.Fit{Epoch: epoch, Tick: s.First, Wall: at, Slope: 1}); err != nil {
			return err
		}
	}
	return nil
}

// left names the lines that were left.
func left(s capture.Summary) string {
	where := " (line "
	if len(s.Left) > 1 {
		where = " (lines "
	}
	for k, line := range s.Left {
		if k > 0 {
			where += ", "
		}
		where += strconv.FormatInt(line, 10)
	}
	if s.Unreadable > int64(len(s.Left)) {
		where += ", ..."
	}
	return where + ")"
}

// importLine says what became of the rows.
func importLine(s capture.Summary) string {
	line := fmt.Sprintf("rows: %d, samples: %d, %s", s.Rows, s.Samples, s.Basis)
	for _, odd := range []struct {
		count int64
		what  string
		where string
	}{
		{s.Unreadable, "unreadable rows", left(s)},
		{s.NoValue, "rows without a value", ""},
		{s.Backward, "steps back in time", ""},
		{s.Repeated, "repeated times", ""},
		{s.Gaps, "gaps", ""},
	} {
		if odd.count > 0 {
			line += fmt.Sprintf(", %s: %d", odd.what, odd.count)
			line += odd.where
		}
	}
	return line
}
