//go:build linux

package main

import (
	"context"
	"fmt"
	"os"
)

// signalNames are those of the rig.
var signalNames = []string{"box", "noisy-12-bit", "noisy-16-bit", "irregular-45-hz", "pulsed", "tiled-50-khz"}

// signals measures what a value takes in the record of each of six signals, live.
func (c *comparison) signals(ctx context.Context) error {
	const part = "bytes a value, and processor time a value"
	for _, name := range signalNames {
		err := c.inTurns(func(s *side, _ int) error {
			file := s.scratch("signal.arctally")
			var t took
			err := s.work(ctx, &t, "signal", name, file)
			if err != nil {
				return err
			}
			what := fmt.Sprintf("%s (entropy of order 0 %.3f, of order 2 %.3f)", name, t.Entropy[0], t.Entropy[1])
			goal := ""
			if name == "box" {
				goal = "at most 0.60"
			}
			c.table.row(part, what, "bytes", goal).of(s, t.Bytes/t.Values)
			c.table.row(part, name+", recorded", "ns", "").of(s, t.Seconds/t.Values*1e9)
			c.table.row(part, name+", read", "ns", "").of(s, t.Reading/t.Values*1e9)
			return os.Remove(file)
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// line measures the way from the bytes of a link to what is committed and judged.
func (c *comparison) line(ctx context.Context) error {
	const part = "from the link to the record"
	return c.inTurns(func(s *side, _ int) error {
		file := s.scratch("line.arctally")
		var t took
		if err := s.work(ctx, &t, "line", file); err != nil {
			return err
		}
		const anHour = 2 * 10_000 * 3600 // values of 2 x 10 kHz
		c.table.row(part, "decoded, committed once a second, and judged", "ns a value", "").of(s, t.Seconds/t.Values*1e9)
		c.table.row(part, "an hour of it", "s", "").of(s, t.Seconds/t.Values*anHour)
		c.table.row(part, "against decoding the link alone", "x", "").of(s, t.Seconds/t.Decoding)
		return os.Remove(file)
	})
}
