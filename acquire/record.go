package acquire

import (
	"context"
	"io"
	"time"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// Limits of the Recorder.
const (
	readSize      = 64 << 10               // bytes of one Read
	emptyReads    = 100                    // empty reads in a row that are a broken reader
	provingBytes  = 4096                   // a link that has brought so many without a frame is a wrong one
	provingTime   = 3 * time.Second        // or has sent for so long
	longestPause  = 250 * time.Millisecond // between two reads that still count as sending
	fitEvery      = time.Second            // of host time, between two fits of the clock
	damageEvery   = time.Second            // of host time, between two events about damage
	longestBatch  = 4096                   // samples that one block of samples may hold
	widestBatch   = int64(100 * time.Millisecond)
	seenRemembers = 64 // frames among which a repeated one is recognised
)

// Config says what to record, and for whom.
type Config struct {
	Link  string           // binary, delimited or lineprotocol
	Now   func() time.Time // host clock; nil is time.Now
	Sinks []series.Sink    // each gets everything
	// Epoch is the number of the first epoch: one past those of a record that
	// is gone on with.
	Epoch int
}

// Tally counts what went through a Recorder.
type Tally struct {
	Bytes    int64
	Frames   int64 // valid ones
	Damaged  int64 // runs that failed their check, except what was cut by joining
	Lost     int64 // frames missing by their sequence number
	Gaps     int64 // stretches of them
	Repeated int64 // frames that came again
	Overruns int64 // frames before which the box lost samples
	Clipped  int64 // frames with a channel at its end stop
	Epochs   int64
	Samples  int64 // of voltage and current together
	Windows  int64 // of sums
}

// Record reads r until it ends, ctx ends or a sink fails. The end of r and of
// ctx are the normal ends of a recording, and no error. Read is not
// interrupted by ctx: a port ends itself with it, any other reader that may
// block is to be closed. If r is Watched, its events are recorded.
func Record(ctx context.Context, r io.Reader, c Config) (Tally, error) {
	decoder, err := link.New(c.Link)
	if err != nil {
		return Tally{}, err
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	rec := newRecorder(c)
	if w, ok := r.(Watched); ok {
		w.Watch(rec.lineEvent)
	}
	err = rec.run(ctx, r, decoder)
	rec.finish()
	if rec.out.err != nil {
		err = rec.out.err
	}
	return rec.tally, err
}

func (r *recorder) run(ctx context.Context, reader io.Reader, decoder link.Decoder) error {
	buf := make([]byte, readSize)
	take := r.take // one method value for all calls: no allocation for each
	empty := 0
	for ctx.Err() == nil && r.out.err == nil {
		n, err := reader.Read(buf)
		if empty++; n > 0 || err != nil {
			empty = 0
		}
		if n > 0 {
			r.now = r.config.Now()
			r.tally.Bytes += int64(n)
			decoder.Decode(buf[:n], take)
			r.endOfRead()
			r.out.tally(r.tally)
			if r.tally.Frames == 0 && r.wrong.shown(r.now, r.tally.Bytes) {
				return r.failed(NoFrames, r.wrong.damage)
			}
		}
		switch {
		case err == io.EOF:
			return nil
		case err != nil && ctx.Err() == nil:
			return r.failed(ReadFailed, err)
		case empty == emptyReads:
			return r.failed(ReadFailed, io.ErrNoProgress)
		}
	}
	return nil
}

func (r *recorder) failed(kind Kind, cause error) *Error {
	return &Error{Kind: kind, Link: r.config.Link, Bytes: r.tally.Bytes, Err: cause}
}
