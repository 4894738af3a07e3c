package virtualbox

import (
	"context"
	"errors"
	"time"

	"arctally/acquire/link"
	"arctally/acquire/sensorbox"
	"arctally/analyze"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/terminal"
)

// Clock goes as fast as the box, from now on.
func (o Options) Clock(now func() time.Time) func() time.Time {
	began := now()
	return func() time.Time { return began.Add(time.Duration(o.Speed * float64(now().Sub(began)))) }
}

// Lay has a box lay its plan on a serial pair while the session records it. The
// recording ends when the box has said its last and it has been read.
func Lay(ctx context.Context, screen *terminal.Screen, s *recording.Session, box *sensorbox.Box) (result Laid, err error) {
	name, err := box.Open()
	if err != nil {
		return result, err
	}
	s.Sensors = []procedure.Sensor{{Port: name, Link: link.Binary}}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	played := make(chan error, 1)
	go func() {
		defer stop()
		var err error
		result.Truth, err = box.Play(ctx)
		played <- err
	}()
	result.Result, err = s.Run(ctx, screen)
	stop()
	if failed := <-played; failed != nil && !errors.Is(failed, context.Canceled) {
		err = errors.Join(err, failed)
	}
	return result, errors.Join(err, box.Close())
}

// Laid is what a session recorded of a virtual sensor box, and what was true.
type Laid struct {
	analyze.Result
	Truth sensorbox.Truth
}
