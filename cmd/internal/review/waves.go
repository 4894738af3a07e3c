package review

import (
	"context"
	"errors"
	"math"

	"arctally/acquire/series"
	"arctally/report/draw"
	"arctally/report/page/trace"
	"arctally/report/paper"
	"arctally/report/sheet"
)

// waveParts is into how many equal parts the time around an event is cut: more than paper shows.
const waveParts = 240

// Waves reads what was measured around the open events that the paper shows, and the means
// that were judged there.
func (r *Review) Waves(ctx context.Context, s *sheet.Sheet) (paper.Waves, error) {
	waves, shown := paper.Waves{}, paper.Waved(s)
	if len(shown) == 0 {
		return waves, nil
	}
	for _, e := range shown {
		epoch, from, until := draw.WaveTime(e)
		lines, err := r.linesOf(trace.Window{Epoch: epoch, From: from, Until: until, Columns: waveParts})
		var undrawable *trace.Error
		switch {
		case errors.As(err, &undrawable):
			continue // a unit changed within the time: the paper says that it has no drawing
		case err != nil:
			return nil, err
		}
		wave := waveOf(from, until, lines)
		judged, err := r.Means(ctx, epoch, from, until)
		if err != nil {
			return nil, err
		}
		for m := range judged.During(epoch, from, until) {
			wave.Means = append(wave.Means, *m)
		}
		waves[e.Number] = wave
	}
	return waves, nil
}

// linesOf reads voltage, current and power of a window.
func (r *Review) linesOf(w trace.Window) ([]trace.Line, error) {
	reduced, err := trace.New(w, []string{"voltage", "current", trace.PowerChannel}, r.Register())
	if err != nil {
		return nil, err
	}
	var source series.Source
	for group, err := range r.Between(w.Epoch, w.From, w.Until) {
		if err != nil {
			return nil, err
		}
		for _, said := range group.Sources {
			source = said
		}
		for k := range group.Blocks {
			if err := reduced.Add(&source, &group.Blocks[k]); err != nil {
				return nil, err
			}
		}
	}
	return reduced.Trace().Lines, nil
}

// waveOf is what the drawing of an event needs of its lines. What a source gives in another unit
// is not drawn.
func waveOf(from, until int64, lines []trace.Line) *draw.Wave {
	wave := &draw.Wave{From: from, Until: until}
	units := map[string]*draw.Extremes{"V": &wave.Voltage, "A": &wave.Current, "W": &wave.Power}
	for k := range lines {
		if into := units[lines[k].Unit]; into != nil {
			*into = extremesOf(&lines[k], from, until)
		}
	}
	return wave
}

// extremesOf takes the lowest and the highest of a line in each part. Between two points that
// follow one another the line is straight, as a page draws it; across a break there is nothing.
func extremesOf(line *trace.Line, from, until int64) draw.Extremes {
	p := parts{from: from, length: float64(until-from) / waveParts, into: draw.Extremes{Low: unknown(), High: unknown()}}
	breaks := line.Breaks
	for k := range line.Tick {
		p.take(p.of(line.Tick[k]), line.Value[k])
		if len(breaks) > 0 && breaks[0] == k {
			breaks = breaks[1:]
		} else if k > 0 {
			p.join(line.Tick[k-1], line.Tick[k], line.Value[k-1], line.Value[k])
		}
	}
	return p.into
}

func unknown() []float64 {
	values := make([]float64, waveParts)
	for k := range values {
		values[k] = math.NaN()
	}
	return values
}

// parts are the equal parts of a time.
type parts struct {
	from   int64
	length float64 // ns
	into   draw.Extremes
}

// of is the part of a tick.
func (p *parts) of(tick int64) int { return min(int(float64(tick-p.from)/p.length), waveParts-1) }

func (p *parts) take(part int, value float64) {
	low, high := &p.into.Low[part], &p.into.High[part]
	if math.IsNaN(*low) {
		*low, *high = value, value
	}
	*low, *high = min(*low, value), max(*high, value)
}

// join takes the straight line between two points where it crosses from part to part.
func (p *parts) join(tick, next int64, value, then float64) {
	for part := p.of(tick); part < p.of(next); part++ {
		border := float64(part+1)*p.length - float64(tick-p.from)
		at := value + (then-value)*border/float64(next-tick)
		p.take(part, at)
		p.take(part+1, at)
	}
}
