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

// Lay has boxes lay their plan on serial pairs while the session records them. The
// recording ends when the first box has said its last and it has been read.
func Lay(ctx context.Context, screen *terminal.Screen, s *recording.Session, boxes ...*sensorbox.Box) (result Laid, err error) {
	s.Sensors = nil
	defer func() {
		for _, box := range boxes {
			err = errors.Join(err, box.Close())
		}
	}()
	for _, box := range boxes {
		name, err := box.Open()
		if err != nil {
			return result, err
		}
		s.Sensors = append(s.Sensors, procedure.Sensor{Port: name, Link: link.Binary})
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	played := make(chan error, len(boxes))
	for k, box := range boxes {
		go func() {
			truth, err := box.Play(ctx)
			if k == 0 {
				result.Truth = truth
				stop()
			}
			played <- err
		}()
	}
	result.Result, err = s.Run(ctx, screen)
	stop()
	for range boxes {
		if failed := <-played; failed != nil && !errors.Is(failed, context.Canceled) {
			err = errors.Join(err, failed)
		}
	}
	return result, err
}

// Laid is what a session recorded of a virtual sensor box, and what was true.
type Laid struct {
	analyze.Result
	Truth sensorbox.Truth
}
