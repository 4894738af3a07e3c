package acquire

import (
	"fmt"
	"time"

	"arctally/acquire/series"
)

// gap is frames that are missing, until the next arc or sums show where they end.
type gap struct {
	frames uint64
	from   int64 // ns, the last sample before
}

func (g *gap) add(from int64, frames uint32) {
	if g.frames == 0 {
		g.from = from
	}
	g.frames += uint64(frames)
}

// end returns the event of a gap that ends with a sample at until.
func (g *gap) end(until int64) (series.Event, bool) {
	if g.frames == 0 {
		return series.Event{}, false
	}
	e := series.Event{
		Kind: series.Gap, Tick: g.from, Until: max(g.from, until), Count: int64(g.frames),
		Text: "missing: " + frames(int64(g.frames)),
	}
	*g = gap{}
	return e, true
}

// stretch is consecutive frames that say the same; one event tells of them.
type stretch struct {
	kind        series.EventKind
	text        string
	frames      int64
	tick, until int64 // ns
}

func (s *stretch) add(tick, until int64) {
	if s.frames == 0 {
		s.tick = tick
	}
	s.frames++
	s.until = until
}

func (s *stretch) end() (series.Event, bool) {
	if s.frames == 0 {
		return series.Event{}, false
	}
	e := series.Event{
		Kind: s.kind, Tick: s.tick, Until: s.until, Count: s.frames,
		Text: s.text + ": " + frames(s.frames),
	}
	s.frames = 0
	return e, true
}

// damage is runs that failed their check since the last event about them.
type damage struct {
	count int64
	first string // what was wrong with the first
	tick  int64  // ns, where the first was
	until int64  // ns, where the last was
	told  time.Time
}

func (d *damage) add(err error, tick int64) {
	if d.count == 0 {
		d.first, d.tick = err.Error(), tick
	}
	d.count++
	d.until = tick
}

func (d *damage) due(now time.Time) bool {
	return d.count > 0 && now.Sub(d.told) >= damageEvery
}

func (d *damage) end(now time.Time) series.Event {
	e := series.Event{
		Kind: series.Damaged, Tick: d.tick, Until: d.until, Count: d.count,
		Text: "failed the check: " + frames(d.count) + ", the first: " + d.first,
	}
	*d = damage{told: now}
	return e
}

// frames counts frames in words.
func frames(n int64) string {
	if n == 1 {
		return "1 frame"
	}
	return fmt.Sprintf("%d frames", n)
}
