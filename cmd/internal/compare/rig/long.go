//go:build linux

package main

import (
	"context"
	"errors"
	"os"
	"time"

	"arctally/acquire/clock"
	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/virtualbox"
	"arctally/testdata/job/demo"
)

const second = int64(time.Second)

const (
	// repeated is what is recorded again and again to make a long job: the first minutes
	// of the demo's job, at 10 kHz, with the counts of the torch going on.
	repeated = 180 * second
	// afterSecond is where within a second of the box a commit falls, so that its seconds
	// are cut in two as those of a live record are.
	afterSecond = 370 * int64(time.Millisecond)
)

// began is when the long job was begun.
var began = time.Unix(1_790_000_000, 0)

// writeLong writes a record of so many hours. As a live one it is committed once a second
// of the box, each time with a fit of the clock; as an import it is cut by the writer alone.
func writeLong(file, hours string, live bool) (took said, err error) {
	h, err := number(hours)
	if err != nil {
		return took, err
	}
	job, err := jobfile.ReadIn(demo.Files, jobfile.Document)
	if err != nil {
		return took, err
	}
	box, err := sensorbox.New(virtualbox.Plan(job, 2, nil))
	if err != nil {
		return took, err
	}
	blocks, err := firstOf(box)
	if err != nil {
		return took, err
	}
	w, err := job.CreateRecord(file, began)
	if err != nil {
		return took, err
	}
	if err := w.Source(box.Plan().Source()); err != nil {
		return took, err
	}
	begun := processorTime()
	took.Values, err = repeat(w, blocks, int64(h*3600*float64(second)), live)
	if err = errors.Join(err, w.Close()); err != nil {
		return took, err
	}
	took.Seconds = processorTime() - begun
	return took, sizeOf(file, &took)
}

// firstOf returns what a box says of the part that is repeated.
func firstOf(box *sensorbox.Box) (blocks []series.Block, err error) {
	enough := errors.New("enough")
	_, err = box.Each(context.Background(), func(in *series.Block) error {
		if in.At(0) >= repeated {
			return enough
		}
		var own series.Block
		own.CopyFrom(in)
		blocks = append(blocks, own)
		return nil
	})
	if errors.Is(err, enough) {
		err = nil
	}
	return blocks, err
}

// repeat writes blocks until the record is so many ns long, and returns the values.
func repeat(w *record.Writer, blocks []series.Block, length int64, live bool) (values int64, err error) {
	next, turned := afterSecond, countsIn(blocks)
	for shift := int64(0); shift < length; shift += repeated {
		for k := range blocks {
			block := &blocks[k]
			at := block.At(0)
			if at >= length {
				break
			}
			if live && at >= next {
				next += second
				if err := commit(w, at); err != nil {
					return values, err
				}
			}
			if err := w.Block(block); err != nil {
				return values, err
			}
			values += int64(len(block.V) + len(block.I))
			later(block, turned)
		}
	}
	return values, nil
}

// commit ends a group as a recording does.
func commit(w *record.Writer, tick int64) error {
	now := began.Add(time.Duration(tick))
	return errors.Join(w.Clock(clock.Fit{Tick: tick, Slope: 1, Wall: now, Arrival: now}), w.Sync())
}

// countsIn is by how much the counts of the torch rise.
func countsIn(blocks []series.Block) int64 {
	var counts []int64
	for k := range blocks {
		counts = append(counts, blocks[k].Count...)
	}
	if len(counts) == 0 {
		return 0
	}
	return counts[len(counts)-1] - counts[0] + 1
}

// later moves a block to its next repetition.
func later(b *series.Block, turned int64) {
	b.Tick += repeated
	for k := range b.Ticks {
		b.Ticks[k] += repeated
	}
	for k := range b.Count {
		b.Count[k] += turned
	}
	b.AtMark = false
}

func sizeOf(file string, took *said) error {
	info, err := os.Stat(file)
	if err == nil {
		took.Bytes = info.Size()
	}
	return err
}

// decode reads all groups of a record, and does no more with them than count.
func decode(file string) (took said, err error) {
	begun, groups, last := processorTime(), 0, int64(0)
	err = eachGroup(file, func(g *record.Group) {
		groups++
		for k := range g.Blocks {
			if b := &g.Blocks[k]; b.Kind == series.Arc {
				took.Values += int64(len(b.V) + len(b.I))
				last = max(last, b.At(b.Len()-1))
			}
		}
	})
	took.Seconds = processorTime() - begun
	took.Group = float64(last) / 1e9 / float64(groups)
	return took, errors.Join(err, sizeOf(file, &took))
}

func eachGroup(file string, do func(*record.Group)) error {
	reader, err := record.Open(file)
	if err != nil {
		return err
	}
	for group, failed := range reader.Groups() {
		if failed != nil {
			err = failed
			break
		}
		do(group)
	}
	return errors.Join(err, reader.Close())
}
