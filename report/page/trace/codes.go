package trace

import (
	"math"

	"arctally/acquire/calib"
	"arctally/acquire/series"
)

// codes takes the samples of a block of voltage and current that lie in the
// window: a column at a time, where there are many of them at an even pace.
func (l *lane) codes(source *series.Source, b *series.Block, codes []int32, s calib.Line) {
	k, end := l.clip(b, len(codes))
	even := b.Ticks == nil && b.Step > 0 && (source.MaxStep == 0 || b.Step <= source.MaxStep) && finite(s.Scale) && finite(s.Offset)
	for k < end {
		tick := b.At(k)
		if !even || l.keepAll || tick < l.last {
			l.sample(source, tick, s.Of(float64(codes[k])))
			k++
			continue
		}
		n := int(min(int64(end-k), (l.edgeAfter(tick)-tick-1)/b.Step+1))
		l.take(extremes(b, k, codes[k:k+n], s))
		k += n
	}
}

// clip returns which samples of a block lie in the window; where they are not at
// an even pace, each of them is still to be asked.
func (l *lane) clip(b *series.Block, n int) (from, to int) {
	if b.Ticks != nil || b.Step <= 0 {
		return 0, n
	}
	// before counts the samples before a tick.
	before := func(tick int64) int {
		if tick <= b.Tick {
			return 0
		}
		return int(min(uint64(n), (uint64(tick)-uint64(b.Tick)-1)/uint64(b.Step)+1))
	}
	return before(l.window.From), before(l.window.Until)
}

// edgeAfter returns where the column of a tick ends.
func (l *lane) edgeAfter(tick int64) int64 {
	if len(l.runs) > 0 && tick < l.edge {
		return l.edge
	}
	return l.window.edge(l.window.column(tick))
}

// extremes returns the run of some samples of a block, from sample k on.
func extremes(b *series.Block, k int, codes []int32, s calib.Line) run {
	low, high := 0, 0
	least, most := codes[0], codes[0]
	for i, code := range codes {
		if code < least {
			least, low = code, i
		} else if code > most {
			most, high = code, i
		}
	}
	at := func(i int) point { return point{tick: b.At(k + i), value: s.Of(float64(codes[i]))} }
	if s.Scale < 0 {
		low, high = high, low
	}
	return span(at(0), at(len(codes)-1), at(low), at(high))
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
