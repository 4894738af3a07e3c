package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"strings"
	"time"

	"arctally/acquire/clock"
	"arctally/acquire/quantity"
	"arctally/acquire/record"
	"arctally/analyze/note"
)

func noteCommand() command {
	return command{
		name:     "note",
		operands: "RECORD",
		summary:  "adds what a person measured or saw: a temperature, a gas flow, a sentence",
		example:  `arctally note boom-pin.arctally --at 08:28 --temperature "180 degC" --by "Operator 1"`,
		setUp:    noteAction,
	}
}

// noteFlags are what is typed in.
type noteFlags struct {
	at, temperature, gasFlow, text, by string
	endOfPass                          bool
}

func noteAction(flags *flag.FlagSet) action {
	var f noteFlags
	flags.StringVar(&f.at, "at", noteNow, "it held at this `TIME`: now, 08:28 or 08:28:30 on the day of the record, 2026-03-02T08:28:30Z (all UTC); where the record knows no date, \"750.5 s\" on the clock of the source")
	flags.StringVar(&f.temperature, "temperature", "", "beside the weld, before a pass: `VALUE` with its unit, 180 degC")
	flags.StringVar(&f.gasFlow, "gas-flow", "", "set or measured, from then on: `VALUE` with its unit, 15 L/min")
	flags.StringVar(&f.text, "text", "", "a `SENTENCE` to keep")
	flags.BoolVar(&f.endOfPass, "end-of-pass", false, "the pass under way then is over, at the end of its arc interval: what was laid after it is another one")
	flags.StringVar(&f.by, "by", "", "the `NAME` of who measured or saw it")
	return func(_ context.Context, screen *screen, operands []string) error {
		notes, err := f.notes()
		if err != nil {
			return err
		}
		moment, err := f.moment(operands[0], screen.now())
		if err != nil {
			return err
		}
		if err := addNotes(operands[0], notes, moment); err != nil {
			return err
		}
		for _, n := range notes {
			if err := screen.print(fmt.Sprintf("kept: %s, %s, typed in by %s\n", n.Said(), moment.words, n.By)); err != nil {
				return err
			}
		}
		return nil
	}
}

// notes reads the values.
func (f noteFlags) notes() (notes []note.Note, err error) {
	by := strings.TrimSpace(f.by)
	if by == "" {
		return nil, &usageError{command: "note", text: "say who measured it: --by NAME"}
	}
	if f.temperature != "" {
		t, err := readTemperature(f.temperature)
		if err != nil {
			return nil, &usageError{command: "note", text: "--temperature: " + err.Error()}
		}
		notes = append(notes, note.Note{By: by, Temperature: t})
	}
	if f.gasFlow != "" {
		flow, err := readGasFlow(f.gasFlow)
		if err != nil {
			return nil, &usageError{command: "note", text: "--gas-flow: " + err.Error()}
		}
		notes = append(notes, note.Note{By: by, GasFlow: flow})
	}
	if f.text != "" {
		notes = append(notes, note.Note{By: by, Text: f.text})
	}
	if f.endOfPass {
		notes = append(notes, note.Note{By: by, EndOfPass: true})
	}
	if len(notes) == 0 {
		return nil, &usageError{command: "note", text: "say what to keep: --temperature, --gas-flow, --text or --end-of-pass"}
	}
	return notes, nil
}

func readTemperature(text string) (*quantity.Celsius, error) {
	t, err := quantity.Parse[quantity.Celsius](text)
	return &t, err
}

func readGasFlow(text string) (*quantity.CubicMetresPerSecond, error) {
	flow, err := quantity.Parse[quantity.CubicMetresPerSecond](text)
	if err == nil && flow < 0 {
		err = errors.New("a flow is not below zero")
	}
	return &flow, err
}

// addNotes appends them to the record.
func addNotes(file string, notes []note.Note, at noteMoment) error {
	writer, err := record.Amend(file)
	if err != nil {
		return err
	}
	for _, n := range notes {
		n.Epoch, n.Tick = at.epoch, at.tick
		if err := writer.Event(n.Event()); err != nil {
			return errors.Join(err, writer.Close())
		}
	}
	return writer.Close()
}

// noteNow is how a note says that it holds at this moment.
const noteNow = "now"

// noteMoment is when a note holds, on the clock of the source.
type noteMoment struct {
	epoch int
	tick  int64 // ns
	words string
}

// moment finds the place of the time in the record.
func (f noteFlags) moment(file string, now time.Time) (at noteMoment, err error) {
	reader, err := record.Open(file)
	if err != nil {
		return at, err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	spans, err := reader.Epochs()
	if err != nil {
		return at, err
	}
	if len(spans) == 0 {
		return at, fmt.Errorf("record %s holds no samples: a time has no place in it", file)
	}
	first, dated := reader.WallTime(spans[0].Epoch, spans[0].First)
	if s, err := quantity.Parse[quantity.Seconds](f.at); err == nil && !dated {
		return onSourceClock(s, spans)
	}
	if !dated {
		return at, &undatedError{record: file}
	}
	wall, err := wallTime(f.at, now, first)
	if err != nil {
		return at, err
	}
	return placeOfTime(wall, spans, reader.Clock()), nil
}

// onSourceClock places seconds of the source, which one epoch alone makes plain.
func onSourceClock(s quantity.Seconds, spans []record.Span) (noteMoment, error) {
	if len(spans) > 1 {
		return noteMoment{}, &usageError{command: "note", text: fmt.Sprintf("the source began anew %d times: seconds on its clock do not tell when; give a time of day", len(spans)-1)}
	}
	return noteMoment{spans[0].Epoch, int64(float64(s) * 1e9), quantity.Text(s, "s", 1) + " on the clock of the source"}, nil
}

// wallTime reads a time as it is typed; a time of day is on the record's day.
func wallTime(text string, now, first time.Time) (time.Time, error) {
	if text == noteNow {
		return now, nil
	}
	for _, layout := range []string{time.RFC3339, time.DateTime, "2006-01-02 15:04"} {
		if t, err := time.Parse(layout, text); err == nil {
			return t, nil
		}
	}
	for _, layout := range []string{time.TimeOnly, "15:04"} {
		if t, err := time.Parse(layout, text); err == nil {
			year, month, day := first.UTC().Date()
			return time.Date(year, month, day, t.Hour(), t.Minute(), t.Second(), 0, time.UTC), nil
		}
	}
	return time.Time{}, &usageError{command: "note", text: fmt.Sprintf("--at %q is no time of day: write now, 08:28 or 2026-03-02T08:28:30Z", text)}
}

// placeOfTime puts a wall time into the epoch that was the last to have begun by
// then, or the first of all, by the newest fit of its clock.
func placeOfTime(wall time.Time, spans []record.Span, fits []clock.Fit) (at noteMoment) {
	at.words = "at " + wall.UTC().Format("2006-01-02 15:04:05 UTC")
	found := false
	for _, span := range spans {
		var fit *clock.Fit
		for k := range fits {
			if fits[k].Epoch == span.Epoch && !fits[k].Wall.IsZero() {
				fit = &fits[k]
			}
		}
		if fit == nil || found && fit.At(span.First).After(wall) {
			continue
		}
		found = true
		at.epoch, at.tick = span.Epoch, fit.Tick+int64(float64(wall.Sub(fit.Wall))/fit.Slope)
	}
	return at
}

// undatedError is a time of day for a record that knows none.
type undatedError struct{ record string }

// Error implements error.
func (e *undatedError) Error() string {
	return "record " + e.record + ": its clock has no date, so that a time of day has no place in it"
}

// Hint says how to place a note all the same.
func (e *undatedError) Hint() string {
	return "give the seconds on the clock of the source, as arctally passes shows them: --at \"750.5 s\""
}
