package review

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"arctally/acquire/clock"
	"arctally/acquire/quantity"
	"arctally/acquire/record"
	"arctally/analyze/note"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/sealing"
	"arctally/report/sheet"
)

// ReadTemperature reads one with its unit.
func ReadTemperature(text string) (*quantity.Celsius, error) {
	t, err := quantity.Parse[quantity.Celsius](text)
	return &t, err
}

// ReadGasFlow reads one with its unit; it is not below zero.
func ReadGasFlow(text string) (*quantity.CubicMetresPerSecond, error) {
	flow, err := quantity.Parse[quantity.CubicMetresPerSecond](text)
	if err == nil && flow < 0 {
		err = errors.New("a flow is not below zero")
	}
	return &flow, err
}

// ReadAngle reads where the torch stands, with its unit: from -360 to 360 degrees,
// of which it makes an angle on the circle. More is a slip of the finger.
func ReadAngle(text string) (*quantity.Degrees, error) {
	angle, err := quantity.Parse[quantity.Degrees](text)
	if err == nil && math.Abs(float64(angle)) > 360 {
		err = errors.New("an angle is from -360 to 360 deg")
	}
	if angle < 0 {
		angle += 360
	}
	if angle >= 360 { // a hair below 0 rounds to it
		angle -= 360
	}
	return &angle, err
}

// AddNotes appends them to the record.
func AddNotes(file string, notes []note.Note, at Moment) error {
	writer, err := record.Amend(file)
	if err != nil {
		return err
	}
	sealing.Seal(writer)
	for _, n := range notes {
		n.Epoch, n.Tick = at.epoch, at.Tick
		if err := writer.Event(n.Event()); err != nil {
			return errors.Join(err, writer.Close())
		}
	}
	return writer.Close()
}

// Now is how a note says that it holds at this moment.
const Now = "now"

// Moment is when a note holds, on the clock of the source.
type Moment struct {
	epoch int
	Tick  int64 // ns
	Words string
}

// MomentOf finds the place of the time in the record.
func MomentOf(file, when string, now time.Time) (at Moment, err error) {
	reader, err := record.Open(file)
	if err != nil {
		return at, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	spans, err := reader.Epochs()
	if err != nil {
		return at, err
	}
	spans = slices.DeleteFunc(spans, func(s record.Span) bool { return s.Box > 0 }) // notes hold for the arc
	if len(spans) == 0 {
		return at, fmt.Errorf("record %s holds no samples: a time has no place in it", file)
	}
	first, dated := reader.WallTime(spans[0].Epoch, spans[0].First)
	if s, err := quantity.Parse[quantity.Seconds](when); err == nil && !dated {
		return onSourceClock(s, spans)
	}
	if !dated {
		return at, undated(file)
	}
	wall, err := wallTime(when, now, first)
	if err != nil {
		return at, err
	}
	return placeOfTime(wall, spans, reader.Clock()), nil
}

// onSourceClock places seconds of the source, which one epoch alone makes plain.
func onSourceClock(s quantity.Seconds, spans []record.Span) (Moment, error) {
	if len(spans) > 1 {
		return Moment{}, &explain.MisuseError{Command: "note", Text: fmt.Sprintf("the source began anew %d times: seconds on its clock do not tell when; give a time of day", len(spans)-1)}
	}
	return Moment{spans[0].Epoch, int64(float64(s) * 1e9), quantity.Text(s, "s", 1) + " on the clock of the source"}, nil
}

// wallTime reads a time as it is typed; a time of day is on the record's day.
func wallTime(text string, now, first time.Time) (time.Time, error) {
	if text == Now {
		return now, nil
	}
	for _, layout := range []string{time.RFC3339, time.DateTime, "2006-01-02 15:04"} {
		if t, err := time.ParseInLocation(layout, text, time.Local); err == nil {
			return t, nil
		}
	}
	for _, layout := range []string{time.TimeOnly, "15:04"} {
		if t, err := time.Parse(layout, text); err == nil {
			year, month, day := first.Local().Date()
			return time.Date(year, month, day, t.Hour(), t.Minute(), t.Second(), 0, time.Local), nil
		}
	}
	return time.Time{}, &explain.MisuseError{Command: "note", Text: fmt.Sprintf("--at %q is no time of day: write now, 08:28 or 2026-03-02T08:28:30Z", text)}
}

// placeOfTime puts a wall time into the epoch that was the last to have begun by
// then, or the first of all, by the newest fit of its clock.
func placeOfTime(wall time.Time, spans []record.Span, fits []clock.Fit) (at Moment) {
	at.Words = "at " + sheet.Second(wall.Local())
	found := false
	for _, span := range spans {
		var fit *clock.Fit
		for k := range fits {
			if fits[k].Epoch == span.Epoch {
				fit = &fits[k]
			}
		}
		if fit == nil || found && fit.At(span.First).After(wall) {
			continue
		}
		found = true
		at.epoch, at.Tick = span.Epoch, fit.Tick+int64(float64(wall.Sub(fit.Wall))/fit.Slope)
	}
	return at
}

// undated is a time of day for a record that knows none.
func undated(file string) error {
	return &explain.Error{
		Kind: explain.InTheWay, Text: "record " + file + ": its clock has no date, so that a time of day has no place in it",
		Next: "give the seconds on the clock of the source, as arctally passes shows them: --at \"750.5 s\"",
	}
}
