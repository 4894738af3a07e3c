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

// flagged is consecutive frames that carry the same flag; one event tells of them.
type flagged struct {
	kind        series.EventKind
	text        string
	frames      int64
	tick, until int64 // ns
}

func (f *flagged) add(tick, until int64) {
	if f.frames == 0 {
		f.tick = tick
	}
	f.frames++
	f.until = until
}

func (f *flagged) end() (series.Event, bool) {
	if f.frames == 0 {
		return series.Event{}, false
	}
	e := series.Event{
		Kind: f.kind, Tick: f.tick, Until: f.until, Count: f.frames,
		Text: f.text + ": " + frames(f.frames),
	}
	f.frames = 0
	return e, true
}

// damage is runs that failed their check since the last event about them.
type damage struct {
	count    int64
	first    string // what was wrong with the first
	tick     int64  // ns, where the first was
	until    int64  // ns, where the last was
	reported time.Time
}

func (d *damage) add(err error, tick int64) {
	if d.count == 0 {
		d.first, d.tick = err.Error(), tick
	}
	d.count++
	d.until = tick
}

// due tells whether the last event about damage lies long enough back.
func (d *damage) due(now time.Time) bool {
	return now.Sub(d.reported) >= damageEvery
}

func (d *damage) end(now time.Time) series.Event {
	e := series.Event{
		Kind: series.Damaged, Tick: d.tick, Until: d.until, Count: d.count,
		Text: "failed the check: " + frames(d.count) + ", the first: " + d.first,
	}
	*d = damage{reported: now}
	return e
}

// frames counts frames in words.
func frames(n int64) string {
	if n == 1 {
		return "1 frame"
	}
	return fmt.Sprintf("%d frames", n)
}
