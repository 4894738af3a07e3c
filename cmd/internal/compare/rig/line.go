//go:build linux

package main

import (
	"bytes"
	"context"
	"errors"

	"arctally/acquire/acquiretest"
	"arctally/acquire/link"
	"arctally/acquire/quantity"
	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/virtualbox"
	"arctally/testdata/job/demo"
)

// turnsOfLine are those of each of the two layers whose bytes are recorded: 800 s of arc.
const turnsOfLine = 8

// recordLine takes what a box says over its line through the decoder, the commits of a
// record and the judgement, and beside it through the decoder alone.
func recordLine(file string) (took said, err error) {
	job, err := jobfile.ReadIn(demo.Files, jobfile.Document)
	if err != nil {
		return took, err
	}
	plan := virtualbox.Plan(job, 2, nil)
	plan.Length = quantity.Metres(turnsOfLine) * plan.Pitch
	box, err := sensorbox.New(plan)
	if err != nil {
		return took, err
	}
	var line bytes.Buffer
	if _, err := box.Write(context.Background(), &line); err != nil {
		return took, err
	}
	begun := processorTime()
	if _, err := hear(line.Bytes(), nobody{}); err != nil {
		return took, err
	}
	took.Decoding = processorTime() - begun
	begun = processorTime()
	w, err := job.CreateRecord(file, began)
	if err != nil {
		return took, err
	}
	run := analyze.New(job.Job, nil)
	tally, err := hear(line.Bytes(), &bySecond{Writer: w, next: afterSecond}, run)
	if err = errors.Join(err, w.Close()); err != nil {
		return took, err
	}
	if n := len(run.Finish().Passes); n != 2 {
		return took, errors.New("the two passes are gone")
	}
	took.Seconds, took.Values = processorTime()-begun, 2*tally
	return took, sizeOf(file, &took)
}

// hear has sinks get what a line says, and returns the samples.
func hear(line []byte, sinks ...series.Sink) (samples int64, err error) {
	tally, err := acquiretest.Record(context.Background(), bytes.NewReader(line), acquiretest.Config{Link: link.Binary, Sinks: sinks})
	return tally.Samples, err
}

// nobody is a sink that does nothing.
type nobody struct{}

// Source implements series.Sink.
func (nobody) Source(series.Source) error { return nil }

// Block implements series.Sink.
func (nobody) Block(*series.Block) error { return nil }

// Event implements series.Sink.
func (nobody) Event(series.Event) error { return nil }

// bySecond commits once a second of the box, as a recording in real time does.
type bySecond struct {
	*record.Writer
	next int64
}

// Block implements series.Sink.
func (s *bySecond) Block(b *series.Block) error {
	if b.At(0) >= s.next {
		s.next += second
		if err := s.Sync(); err != nil {
			return err
		}
	}
	return s.Writer.Block(b)
}
