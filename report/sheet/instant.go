package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"arctally/analyze/pass"
)

// Instant is a moment as people read it: wall time where it is known, and the
// clock of the source where it is not.
type Instant struct {
	pass.Moment
	Wall   time.Time // in the zone of the sheet
	Dated  bool
	placed bool // false for a thing that has no time
}

// wallClock tells the wall time of a tick in one zone.
type wallClock struct {
	of   func(epoch int, tick int64) (time.Time, bool)
	zone *time.Location
}

func (c wallClock) at(m pass.Moment) Instant {
	i := Instant{Moment: m, placed: true}
	if c.of != nil {
		i.Wall, i.Dated = c.of(m.Epoch, m.Tick)
		i.Wall = i.Wall.In(c.zone)
	}
	return i
}

// steady is a zone with the offset that it has at a moment, so that no clock of a sheet is set forward or back
// within a job; one that is not dated has that of the first that is.
func (in *Input) steady() *time.Location {
	if in.Zone == nil || in.WallTime == nil {
		return time.UTC
	}
	for _, p := range in.Result.Passes {
		if first, dated := in.WallTime(p.Start.Epoch, p.Start.Tick); dated {
			_, offset := first.In(in.Zone).Zone()
			return time.FixedZone("", offset)
		}
	}
	return in.Zone
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

// Minute writes the time at which a person did something, in the zone that the time is in, which is told.
func Minute(t time.Time) string { return t.Format("2006-01-02 15:04 ") + ZoneOf(t) }

// Second writes a time to the second, in the zone that it is in, as web/base/time.ts does.
func Second(t time.Time) string { return t.Format("2006-01-02 15:04:05 ") + ZoneOf(t) }

// ZoneOf is how far the clock that a time is on is from UTC: UTC+02:00.
func ZoneOf(t time.Time) string { return "UTC" + strings.TrimSuffix(t.Format("-07:00"), "+00:00") }

// Clock is the time of day, or the seconds on the clock of the source.
func (i Instant) Clock() string {
	switch {
	case !i.placed:
		return Dash
	case i.Dated:
		return i.Wall.Format("15:04:05")
	case math.Abs(i.seconds()) < 1e4:
		return i.behindEpoch(strconv.FormatFloat(i.seconds(), 'f', 3, 64) + " s")
	default:
		return i.behindEpoch(i.hours() + " h")
	}
}

func (i Instant) seconds() float64 { return float64(i.Tick) / 1e9 }

// hours are a long time on the clock of a source, to the second: a box that has been
// on for a year would say 53760744.031 s.
func (i Instant) hours() string {
	sign, whole := "", int64(math.Round(math.Abs(i.seconds())))
	if i.Tick < 0 {
		sign = "-"
	}
	return fmt.Sprintf("%s%d:%02d:%02d", sign, whole/3600, whole/60%60, whole%60)
}

// behindEpoch names the epoch of a time, where it is not the first.
func (i Instant) behindEpoch(text string) string {
	if i.Epoch != 0 {
		return fmt.Sprintf("e%d %s", i.Epoch, text)
	}
	return text
}

// Short is the clock for a column that has the unit in its head; what is long is
// hours, minutes and seconds all the same.
func (i Instant) Short() string {
	if i.Dated || !i.placed {
		return i.Clock()
	}
	if math.Abs(i.seconds()) < 1e5 {
		return i.behindEpoch(strconv.FormatFloat(i.seconds(), 'f', 1, 64))
	}
	return i.behindEpoch(i.hours())
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
	if zone := s.TimeUnit(); zone != sourceSeconds {
		return "times are " + zone
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

// sourceSeconds is the unit of times on the clock of a source whose date is not known.
const sourceSeconds = "s"

// TimeUnit heads a column of times: their zone.
func (s *Sheet) TimeUnit() string {
	for i := range s.Passes {
		if s.Passes[i].Began.Dated {
			return ZoneOf(s.Passes[i].Began.Wall)
		}
	}
	return sourceSeconds
}
