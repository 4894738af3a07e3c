//go:build linux

package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
)

// The two ways in which records come to be: committed once a second, and in groups as long
// as the writer makes them.
const (
	live     = "live"
	imported = "import"
)

// took is what the rig says of a piece of work.
type took struct {
	Values   float64    `json:"values"`
	Bytes    float64    `json:"bytes"`
	Seconds  float64    `json:"seconds"`
	Reading  float64    `json:"reading"`
	Decoding float64    `json:"decoding"`
	Entropy  [2]float64 `json:"entropy"`
	Group    float64    `json:"group_s"`
}

// record is a record of so many hours that the side has written itself. It is kept.
func (s *side) record(ctx context.Context, kind string, hours float64) (string, error) {
	file := filepath.Join(s.folder, fmt.Sprintf("%s-%.0f-min.arctally", kind, hours*60))
	if _, err := os.Stat(file); err == nil {
		return file, nil
	}
	part := file + ".part"
	if err := os.RemoveAll(part); err != nil {
		return "", err
	}
	var t took
	if err := s.work(ctx, &t, "write", part, strconv.FormatFloat(hours, 'g', -1, 64), kind); err != nil {
		return "", err
	}
	fmt.Fprintf(os.Stderr, "%s: wrote %s: %.0f MB in %.1f s of processor time\n", s.name, file, t.Bytes/1e6, t.Seconds)
	return file, os.Rename(part, file)
}

// length is hours as the table says it.
func length(hours float64) string {
	if hours < 1 {
		return fmt.Sprintf("%.0f min", hours*60)
	}
	return fmt.Sprintf("%.3g h", hours)
}

// judgedHours is the length that is judged: twelve hours, or the longest below them.
func (c *comparison) judgedHours() float64 {
	hours := c.hours[0]
	for _, h := range c.hours {
		if h <= 12 {
			hours = h
		}
	}
	return hours
}
