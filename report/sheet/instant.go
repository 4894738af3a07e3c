package sheet

import (
	"fmt"
	"strconv"
	"time"

	"arctally/analyze/pass"
)

// Instant is a moment as people read it: wall time where it is known, and the
// clock of the source where it is not.
type Instant struct {
	pass.Moment
	Wall   time.Time // UTC
	Dated  bool
	placed bool // false for a thing that has no time
}

type wallClock func(epoch int, tick int64) (time.Time, bool)

func (c wallClock) at(m pass.Moment) Instant {
	i := Instant{Moment: m, placed: true}
	if c != nil {
		i.Wall, i.Dated = c(m.Epoch, m.Tick)
		i.Wall = i.Wall.UTC()
	}
	return i
}

// rfc3339 is nil where the date is not known.
func (i Instant) rfc3339() *string {
	if !i.Dated {
		return nil
	}
	text := Timestamp(i.Wall)
	return &text
}

// Timestamp writes a time as all our JSON does: RFC 3339 in UTC with exactly
// six decimals.
func Timestamp(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000000Z07:00") }

// Minute writes the time at which a person did something.
func Minute(t time.Time) string { return t.UTC().Format("2006-01-02 15:04 UTC") }

// Clock is the time of day, or the seconds on the clock of the source.
func (i Instant) Clock() string {
	switch {
	case !i.placed:
		return Dash
	case i.Dated:
		return i.Wall.Format("15:04:05")
	case i.Epoch != 0:
		return fmt.Sprintf("e%d %.3f s", i.Epoch, float64(i.Tick)/1e9)
	default:
		return fmt.Sprintf("%.3f s", float64(i.Tick)/1e9)
	}
}

// Short is the clock for a column that has the unit in its head.
func (i Instant) Short() string {
	if i.Dated || !i.placed {
		return i.Clock()
	}
	text := strconv.FormatFloat(float64(i.Tick)/1e9, 'f', 1, 64)
	if i.Epoch != 0 {
		text = fmt.Sprintf("e%d %s", i.Epoch, text)
	}
	return text
}

// Date is empty where it is not known.
func (i Instant) Date() string {
	if !i.Dated {
		return ""
	}
	return i.Wall.Format("2006-01-02")
}

// dated is the wall time of a moment, for the proof.
func (c wallClock) dated(m pass.Moment) (time.Time, bool) {
	i := c.at(m)
	return i.Wall, i.Dated
}

// TimeNote says which clock the times are on.
func (s *Sheet) TimeNote() string {
	if s.TimeUnit() == "UTC" {
		return "times are UTC"
	}
	return "times are seconds on the clock of the source; its date is not known"
}

// When is empty for a doubt about all of the record.
func (w *Warning) When() string {
	switch {
	case !w.Began.placed:
		return ""
	case w.Start == w.End || w.End == (Instant{}).Moment:
		return w.Began.Clock()
	default:
		return w.Began.Clock() + " to " + w.Ended.Clock()
	}
}

// TimeUnit heads a column of times.
func (s *Sheet) TimeUnit() string {
	for i := range s.Passes {
		if s.Passes[i].Began.Dated {
			return "UTC"
		}
	}
	return "s"
}
