package check

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"gonum.org/v1/gonum/stat"

	"arctally/acquire"
	"arctally/acquire/calib"
	"arctally/acquire/port"
	"arctally/acquire/series"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/pairs"
	"arctally/cmd/internal/recording"
)

// live tells whether readings come from the port.
func (s *Site) live() bool { return s.Options.Live || s.Options.Port != "" }

// typed refuses a check without readings, where none come from the port.
func (s *Site) typed(in *pairs.Input) error {
	if !in.Has("reading") {
		return Misuse("no readings: give reading=, or take them from the port with --live or --port PORT")
	}
	return nil
}

// typedOnly refuses the port, for a check that has nothing to read from it.
func (s *Site) typedOnly() error {
	if s.live() {
		return Misuse("this check reads nothing from the port: leave out --live and --port")
	}
	return nil
}

// waitFor gives a person the time to set a reference.
func (s *Site) waitFor(ctx context.Context, reference float64, unit string) error {
	s.Screen.Tell("set %.6g %s; it is read in %s, for %s", reference, unit, s.Options.Pause, s.Options.Length)
	timer := time.NewTimer(s.Options.Pause)
	defer timer.Stop()
	select {
	case <-timer.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

// silence is how much longer than the readings themselves a port is waited for.
const silence = 10 * time.Second

// measure averages a channel over a time on the clock of the sensor box.
func (s *Site) measure(ctx context.Context, in *pairs.Input, channel Channel) (m *measured, err error) {
	if in.Has("reading") {
		return &measured{}, Misuse("readings are both typed in and taken from the port: leave one out")
	}
	sensor, err := s.Job.Sensor(s.JobFile, s.Options.Port)
	if err != nil {
		return &measured{}, err
	}
	reading, stop := context.WithTimeout(ctx, s.Options.Length+silence)
	defer stop()
	line, err := port.Open(reading, recording.PortOf(sensor))
	if err != nil {
		return &measured{}, err
	}
	m = &measured{
		channel: channel.Name, length: s.Options.Length.Nanoseconds(), stop: stop,
		heard: func(own string) error { return s.hears(in, own) },
	}
	bar := s.Screen.Progress("reading " + channel.Name)
	defer bar.Clear()
	box, err := recording.BoxOf(sensor, line, s.Screen.Now)
	if err == nil {
		_, err = acquire.RecordBoxes(reading, []acquire.Box{box}, acquire.Config{Sinks: []series.Sink{m}})
	}
	err = errors.Join(err, line.Close())
	if err == nil && ctx.Err() == nil && !m.done {
		err = tooShort(channel.Name, sensor.Port, s.Options.Length)
	}
	m.end()
	return m, errors.Join(err, ctx.Err())
}

// measured is the sink that averages one channel. The time is cut into pieces
// with a mean each: samples that follow closely on one another are not independent.
type measured struct {
	channel string
	length  int64 // ns
	stop    context.CancelFunc
	heard   func(identity string) error // refuses another box than the one before it

	source  series.Source
	index   int
	epoch   int
	from    int64
	begun   bool
	done    bool
	sum     [measuredPieces]float64
	count   [measuredPieces]float64
	values  []float64
	seconds []float64
}

const measuredPieces = 50

// Source implements series.Sink. Nothing is read on scales that are assumed: a
// box describes itself every few seconds.
func (m *measured) Source(s series.Source) error {
	m.begun = false
	if m.index = -1; s.Assumed {
		return nil
	}
	if err := m.heard(s.Identity()); err != nil {
		return err
	}
	names := make([]string, len(s.Channels))
	for k, c := range s.Channels {
		names[k] = c.Name
	}
	if m.index = slices.Index(names, m.channel); m.index < 0 {
		return noChannel(m.channel, names)
	}
	s.Channels = slices.Clone(s.Channels)
	m.source = s
	return nil
}

// Event implements series.Sink.
func (m *measured) Event(series.Event) error { return nil }

// Block implements series.Sink.
func (m *measured) Block(b *series.Block) error {
	if m.index < 0 {
		return nil
	}
	line := calib.LineOf(m.source.Channels[m.index])
	for k := range b.Len() {
		switch {
		case b.Kind == series.Arc && m.index == series.VoltageChannel:
			m.add(b, k, line.Of(float64(b.V[k])))
		case b.Kind == series.Arc && m.index == series.CurrentChannel:
			m.add(b, k, line.Of(float64(b.I[k])))
		case b.Kind == series.Sums && m.index == series.VoltageChannel && b.Sum.Count > 0:
			m.add(b, k, line.Of(float64(b.Sum.V)/float64(b.Sum.Count)))
		case b.Kind == series.Sums && m.index == series.CurrentChannel && b.Sum.Count > 0:
			m.add(b, k, line.Of(float64(b.Sum.I)/float64(b.Sum.Count)))
		case b.Kind == series.Slow && int(b.Channel[k]) == m.index:
			m.add(b, k, b.Value[k])
		}
	}
	return nil
}

// add takes a reading; a box that starts anew is averaged anew.
func (m *measured) add(b *series.Block, k int, value float64) {
	tick := b.At(k)
	if !m.begun || b.Epoch != m.epoch {
		m.begun, m.epoch, m.from = true, b.Epoch, tick
		m.sum, m.count = [measuredPieces]float64{}, [measuredPieces]float64{}
	}
	piece := (tick - m.from) * measuredPieces / m.length
	switch {
	case m.done || piece < 0:
	case piece >= measuredPieces:
		m.done = true
		m.stop()
	default:
		m.sum[piece] += value
		m.count[piece]++
	}
}

// end works out the means of the pieces.
func (m *measured) end() {
	for k, n := range m.count {
		if n > 0 {
			m.values = append(m.values, m.sum[k]/n)
			m.seconds = append(m.seconds, (float64(k)+0.5)*float64(m.length)*1e-9/measuredPieces)
		}
	}
}

func (m *measured) mean() float64 { return stat.Mean(m.values, nil) }

// noChannel is a sensor box that does not measure what is to be checked.
func noChannel(channel string, has []string) error {
	return &explain.Error{
		Kind: explain.Unfit, Text: fmt.Sprintf("the sensor box has no channel %s; it has %s", channel, strings.Join(has, ", ")),
		Next: "type the readings in: reading=",
	}
}

// tooShort is a port that brought too few readings.
func tooShort(channel, port string, wanted time.Duration) error {
	return &explain.Error{
		Kind: explain.InTheWay, Text: fmt.Sprintf("port %s: it did not bring %s of %s", port, wanted, channel),
		Next: "is the sensor box on? else average over less, --for, or type the readings in",
	}
}
