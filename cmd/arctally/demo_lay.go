package main

import (
	"context"
	"errors"
	"time"

	"arctally/acquire/sensorbox"
	"arctally/analyze"
)

// clock goes as fast as the box, from now on.
func (o boxOptions) clock(now func() time.Time) func() time.Time {
	began := now()
	return func() time.Time { return began.Add(time.Duration(o.speed * float64(now().Sub(began)))) }
}

// lay has a box lay its plan on a serial pair while the session records it. The
// recording ends when the box has said its last and it has been read.
func lay(ctx context.Context, screen *screen, s *session, box *sensorbox.Box) (result laid, err error) {
	name, err := box.Open()
	if err != nil {
		return result, err
	}
	s.sensor.Port, s.sensor.Link = name, "binary"
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	played := make(chan error, 1)
	go func() {
		defer stop()
		var err error
		result.truth, err = box.Play(ctx)
		played <- err
	}()
	result.Result, err = s.run(ctx, screen)
	stop()
	if failed := <-played; failed != nil && !errors.Is(failed, context.Canceled) {
		err = errors.Join(err, failed)
	}
	return result, errors.Join(err, box.Close())
}

// laid is what a session recorded of a virtual sensor box, and what was true.
type laid struct {
	analyze.Result
	truth sensorbox.Truth
}
