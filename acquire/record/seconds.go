package record

import (
	"math"

	"arctally/acquire/series"
)

// nanosPerSecond divides the ticks of an epoch into the seconds of the table seconds.
const nanosPerSecond = 1_000_000_000

// tally is what one channel did within one second.
type tally struct {
	channel, epoch int
	second         int64
	min, max, sum  float64
	count          int64
}

// summary reduces the samples of a group to one row a second and channel.
type summary struct {
	done []tally
	open [math.MaxUint8 + 1]tally // by channel; count 0 is none
}

// rows calls add with the columns of every row of the table seconds.
func (s *summary) rows(g *group, add func(...any) error) error {
	s.done = s.done[:0]
	for k := range g.lanes {
		s.lane(&g.lanes[k])
	}
	for channel := range s.open {
		s.flush(channel)
	}
	for i := range s.done {
		t := &s.done[i]
		if err := add(int64(t.channel), int64(t.epoch), t.second, t.min, t.max, t.sum, t.count); err != nil {
			return err
		}
	}
	return nil
}

// lane walks the samples of a lane in stretches that lie within one second.
func (s *summary) lane(l *lane) {
	at := cursor{lane: l}
	for k := range l.chunks {
		c := &l.chunks[k]
		if c.explicit {
			for n := range c.n {
				s.take(c, l, at.sample+n, at.sample+n+1, l.ticks[at.tick+n])
			}
			at.tick += c.n
		} else {
			s.runs(c, &at)
		}
		at.sample += c.n
	}
}

func (s *summary) runs(c *chunk, at *cursor) {
	from := at.sample
	for _, r := range at.lane.runs[at.runAt : at.runAt+c.runs] {
		for tick, n := r.tick, r.n; n > 0; {
			within := samplesWithin(tick, c.step, n)
			s.take(c, at.lane, from, from+within, tick)
			from, n, tick = from+within, n-within, tick+int64(within)*c.step
		}
	}
	at.runAt += c.runs
}

// samplesWithin returns how many of n samples, the first at tick, lie within its second.
func samplesWithin(tick, step int64, n int) int {
	if step <= 0 {
		if step == 0 {
			return n
		}
		return 1
	}
	past := tick % nanosPerSecond
	if past < 0 {
		past += nanosPerSecond
	}
	return int(min(int64(n), (nanosPerSecond-past-1)/step+1))
}

// secondOf rounds down, also before tick 0.
func secondOf(tick int64) int64 {
	second := tick / nanosPerSecond
	if tick%nanosPerSecond < 0 {
		second--
	}
	return second
}

// take adds samples [from, to), which lie within the second of tick.
func (s *summary) take(c *chunk, l *lane, from, to int, tick int64) {
	second := secondOf(tick)
	switch c.kind {
	case series.Arc:
		s.codes(series.VoltageChannel, c.epoch, second, l.v[from:to])
		s.codes(series.CurrentChannel, c.epoch, second, l.i[from:to])
	case series.Slow:
		for k := from; k < to; k++ {
			// A slow value on a channel of codes is left out: one row cannot hold both.
			if v := l.value[k]; l.channel[k] > series.CurrentChannel && !math.IsNaN(v) && !math.IsInf(v, 0) {
				s.add(int(l.channel[k]), c.epoch, second, v, v, v, 1)
			}
		}
	case series.Sums:
		for k := from; k < to; k++ {
			if w := &l.sums[k]; w.Count > 0 {
				for channel, sum := range []int64{series.VoltageChannel: w.V, series.CurrentChannel: w.I} {
					low, high := w.Extremes(channel)
					s.add(channel, c.epoch, second, low, high, float64(sum), int64(w.Count))
				}
			}
		}
	case series.Turn: // a cumulative count has no mean worth plotting
	}
}

func (s *summary) codes(channel, epoch int, second int64, codes []int32) {
	low, high, sum := codes[0], codes[0], int64(0)
	for _, code := range codes {
		low, high = min(low, code), max(high, code)
		sum += int64(code)
	}
	s.add(channel, epoch, second, float64(low), float64(high), float64(sum), int64(len(codes)))
}

// add joins a stretch to the channel's second, or begins the next.
func (s *summary) add(channel, epoch int, second int64, low, high, sum float64, count int64) {
	t := &s.open[channel]
	if t.count > 0 && (t.epoch != epoch || t.second != second) {
		s.flush(channel)
	}
	if t.count == 0 {
		*t = tally{channel: channel, epoch: epoch, second: second, min: low, max: high}
	}
	t.min, t.max = min(t.min, low), max(t.max, high)
	t.sum += sum
	t.count += count
}

func (s *summary) flush(channel int) {
	if t := &s.open[channel]; t.count > 0 {
		s.done = append(s.done, *t)
		t.count = 0
	}
}
