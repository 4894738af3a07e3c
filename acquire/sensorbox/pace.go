package sensorbox

import (
	"context"
	"time"
)

// pacer holds the box back to its share of the wall clock.
type pacer struct {
	ctx   context.Context
	start time.Time
	speed float64 // 0 does not hold it back
}

// leastWait is the shortest time worth going to sleep for.
const leastWait = 2 * time.Millisecond

func (p pacer) pace(since int64) error {
	if p.speed == 0 {
		return nil
	}
	ahead := time.Duration(float64(since)/p.speed) - time.Since(p.start)
	if ahead < leastWait {
		return nil
	}
	return wait(p.ctx, ahead)
}
