// Package acquiretest records the line of one box, as tests of many rooms do.
package acquiretest

import (
	"context"
	"io"
	"time"

	"arctally/acquire"
	"arctally/acquire/series"
)

// Config says what one box speaks, and for whom it is recorded.
type Config struct {
	Link  string           // binary, delimited or lineprotocol
	Port  string           // the lasting name of the port; empty is not known
	Now   func() time.Time // the host clock; nil is time.Now
	Sinks []series.Sink    // each gets everything
	Epoch int              // the number of the first epoch
}

// Record reads the line of one box until it ends, ctx ends or a sink fails.
func Record(ctx context.Context, r io.Reader, c Config) (acquire.Tally, error) {
	line, err := acquire.NewLine(r, c.Link, c.Now)
	if err != nil {
		return acquire.Tally{}, err
	}
	line.Source.Port = c.Port
	tallies, err := acquire.RecordBoxes(ctx, []acquire.Box{line}, acquire.Config{Sinks: c.Sinks, Epoch: c.Epoch})
	return tallies[0], err
}
