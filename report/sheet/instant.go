package sheet

import (
	"fmt"
	"strconv"
	"time"

	"arctally/analyze/pass"
)

// instant is a moment as people read it: wall time where it is known, and the
// clock of the source where it is not.
type instant struct {
	pass.Moment
	wall   time.Time // UTC
	dated  bool
	placed bool // false for a thing that has no time
}

type wallClock func(epoch int, tick int64) (time.Time, bool)

func (c wallClock) at(m pass.Moment) instant {
	i := instant{Moment: m, placed: true}
	if c != nil {
		i.wall, i.dated = c(m.Epoch, m.Tick)
		i.wall = i.wall.UTC()
	}
	return i
}

// rfc3339 is nil where the date is not known.
func (i instant) rfc3339() *string {
	if !i.dated {
		return nil
	}
	text := Timestamp(i.wall)
	return &text
}

// Timestamp writes a time as all our JSON does: RFC 3339 in UTC with exactly
// six decimals.
func Timestamp(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000000Z07:00") }

// clock is the time of day, or the seconds on the clock of the source.
func (i instant) clock() string {
	switch {
	case !i.placed:
		return dash
	case i.dated:
		return i.wall.Format("15:04:05")
	case i.Epoch != 0:
		return fmt.Sprintf("e%d %.3f s", i.Epoch, float64(i.Tick)/1e9)
	default:
		return fmt.Sprintf("%.3f s", float64(i.Tick)/1e9)
	}
}

// short is the clock for a column that has the unit in its head.
func (i instant) short() string {
	if i.dated || !i.placed {
		return i.clock()
	}
	text := strconv.FormatFloat(float64(i.Tick)/1e9, 'f', 1, 64)
	if i.Epoch != 0 {
		text = fmt.Sprintf("e%d %s", i.Epoch, text)
	}
	return text
}

// date is empty where it is not known.
func (i instant) date() string {
	if !i.dated {
		return ""
	}
	return i.wall.Format("2006-01-02")
}

// dated is the wall time of a moment, for the proof.
func (c wallClock) dated(m pass.Moment) (time.Time, bool) {
	i := c.at(m)
	return i.wall, i.dated
}
