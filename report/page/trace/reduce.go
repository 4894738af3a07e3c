package trace

import (
	"fmt"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// Add takes a block of the source in force.
func (r *Reducer) Add(source *series.Source, b *series.Block) error {
	if b.Epoch != r.window.Epoch || b.Len() == 0 {
		return nil
	}
	for k := range r.lanes {
		l := &r.lanes[k]
		channel := indexOf(source, l.line.Channel)
		if b.Break && (b.Kind == series.Slow) == (channel > series.CurrentChannel) {
			l.pending = true
		}
		if err := r.addTo(l, source, channel, b); err != nil {
			return err
		}
	}
	return nil
}

// addTo gives a lane what the block has of its channel.
func (r *Reducer) addTo(l *lane, source *series.Source, channel int, b *series.Block) error {
	switch b.Kind {
	case series.Turn:
		if l.line.Channel == TurnsChannel && source.CountsPerTurn > 0 {
			return l.turns(source, b)
		}
	case series.Slow:
		if channel >= 0 {
			return r.slow(l, source, channel, b)
		}
	case series.Arc, series.Sums:
		if b.Kind == series.Arc && l.line.Channel == PowerChannel && multiplies(source) {
			return r.power(l, source, b)
		}
		if channel == series.VoltageChannel || channel == series.CurrentChannel {
			return r.arc(l, source, channel, b)
		}
	}
	return nil
}

// corrected returns a line of a channel with the calibration in force at a tick.
func (r *Reducer) corrected(line calib.Line, source *series.Source, channel int, tick int64) calib.Line {
	c := source.Channels[channel]
	c.Owner = source.OwnerOf(c)
	return r.register.Corrected(line, c, r.window.Epoch, tick)
}

// measures notes the unit of what comes, and what one code of it is worth; 0 is
// a value without a code.
func (l *lane) measures(unit string, step float64, at int64) error {
	if len(l.runs) > 0 && l.line.Unit != unit {
		return &Error{
			Kind: Mixed, Field: "channels", Detail: fmt.Sprintf("%s is in %s up to %d ns and in %s after it", l.line.Channel, l.line.Unit, at, unit),
			Allowed: "a window that lies before that time, or after it",
		}
	}
	if len(l.runs) > 0 && l.step == step {
		return nil
	}
	l.step = step
	decimals := decimalsOf(step)
	if len(l.runs) > 0 && l.line.decimals != floating && decimals != floating {
		decimals = max(decimals, l.line.decimals)
	}
	l.line.Unit, l.line.decimals = unit, decimals
	return nil
}

// arcLine is the line from code to quantity of voltage or current.
func (r *Reducer) arcLine(source *series.Source, channel int, tick int64) calib.Line {
	return r.corrected(calib.LineOf(source.Channels[channel]), source, channel, tick)
}

func (r *Reducer) arc(l *lane, source *series.Source, channel int, b *series.Block) error {
	c := source.Channels[channel]
	s := r.arcLine(source, channel, b.At(0))
	if err := l.measures(c.Unit, s.Scale, b.At(0)); err != nil {
		return err
	}
	if b.Kind == series.Sums {
		l.sums(source, b, s, channel)
		return nil
	}
	codes := b.V
	if channel == series.CurrentChannel {
		codes = b.I
	}
	l.follow(source, b)
	l.codes(source, b, codes, s)
	return nil
}

// follow marks a block that does not follow the one before it, by its pace.
func (l *lane) follow(source *series.Source, b *series.Block) {
	longest := b.Step + b.Step/2
	if source.MaxStep > 0 {
		longest = source.MaxStep
	}
	if b.Ticks == nil && longest > 0 && len(l.runs) > 0 && b.Tick-l.last > longest {
		l.pending = true
	}
}

// sample takes a sample if it lies in the window. One that is no number leaves a
// break.
func (l *lane) sample(source *series.Source, tick int64, value float64) {
	if !l.window.holds(tick) {
		return
	}
	if !finite(value) || source.MaxStep > 0 && len(l.runs) > 0 && tick-l.last > source.MaxStep {
		l.pending = true
	}
	if finite(value) {
		l.add(tick, value)
	}
}

func (r *Reducer) slow(l *lane, source *series.Source, channel int, b *series.Block) error {
	c := source.Channels[channel]
	// What is said on a slow channel is in its unit already.
	s := r.corrected(calib.InUnit(), source, channel, b.At(0))
	for k, value := range b.Value {
		if int(b.Channel[k]) != channel {
			continue
		}
		if err := l.measures(c.Unit, 0, b.At(k)); err != nil {
			return err
		}
		l.sample(source, b.At(k), s.Of(value))
	}
	return nil
}

func (l *lane) turns(source *series.Source, b *series.Block) error {
	if err := l.measures("turns", 1/source.CountsPerTurn, b.At(0)); err != nil {
		return err
	}
	for k, count := range b.Count {
		l.sample(source, b.At(k), float64(count)/source.CountsPerTurn)
	}
	return nil
}
