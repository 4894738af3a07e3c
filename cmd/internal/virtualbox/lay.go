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

// Clock is that of a host beside a box: from a moment on it goes with what the box lays.
// It does not go by the speed that the box is to have, which a busy machine may not hold:
// the box would seem to have a slow clock.
func Clock(began time.Time, box *sensorbox.Box) func() time.Time {
	return func() time.Time { return began.Add(box.Played()) }
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
