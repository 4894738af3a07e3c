package trace

import (
	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// Cell is what the record keeps of a channel and a stretch of the source's clock, in
// the unit of the channel and uncorrected.
type Cell struct {
	Tick, Length int64 // where it begins, and how long it is, ns
	Low, High    float64
	// Broken is set where a sample of it does not follow the one before that sample. Where
	// the record does not say it, Unsaid is: a cell of voltage or current then follows the
	// one before it, if none is missing between them.
	Broken, Unsaid bool
}

// AddCell takes a summary of a channel, by its index in the source in force;
// what happened must have come before it.
func (r *Reducer) AddCell(source *series.Source, channel int, s Cell) error {
	r.summed = true
	if channel >= len(source.Channels) {
		return nil
	}
	c := source.Channels[channel]
	for k := range r.lanes {
		l := &r.lanes[k]
		if l.line.Channel != c.Name {
			continue
		}
		step := 0.0
		own := r.corrected(calib.InUnit(), source, channel, s.Tick)
		if channel <= series.CurrentChannel {
			step = c.Scale * own.Scale
			l.missing(source, s)
		}
		l.pending = l.pending || s.Broken || r.gapBetween(l.last, s.Tick+s.Length)
		if err := l.measures(c.Unit, step, s.Tick); err != nil {
			return err
		}
		l.summary(s.Tick, s.Length, own.Of(s.Low), own.Of(s.High))
	}
	return nil
}

// missing marks a cell of voltage or current that does not follow the one before it,
// whose middle was taken. Other channels may well rest for longer.
func (l *lane) missing(source *series.Source, s Cell) {
	if s.Unsaid && len(l.runs) > 0 && s.Tick-(l.last+s.Length/2) > source.MaxStep {
		l.pending = true
	}
}

// gapBetween tells whether something was missing that ended between two ticks.
func (r *Reducer) gapBetween(after, before int64) bool {
	for _, e := range r.gaps {
		if e.Until > after && e.Until < before {
			return true
		}
	}
	return false
}

func (l *lane) sums(source *series.Source, b *series.Block, s calib.Line, channel int) {
	if b.Sum.Count == 0 {
		return
	}
	low, high := b.Sum.Extremes(channel)
	length := int64(b.Sum.Count) * b.Step
	if source.MaxStep == 0 && len(l.runs) > 0 && b.Tick-l.last > length+length/2 {
		l.pending = true
	}
	l.summary(b.Tick, length, s.Of(low), s.Of(high))
}

// summary takes the extremes of [tick, tick+length), which stand in its middle,
// as their own times are not known.
func (l *lane) summary(tick, length int64, a, b float64) {
	if tick >= l.window.Until || tick+length <= l.window.From {
		return
	}
	if !finite(a) || !finite(b) {
		l.pending = true
		return
	}
	at := min(max(tick+length/2, l.window.From), l.window.Until-1)
	low, high := point{tick: at, value: min(a, b)}, point{tick: at, value: max(a, b)}
	l.line.Resolution = max(l.line.Resolution, length)
	l.take(span(low, high, low, high))
}
