package draw

import (
	"math"
	"slices"
	"strconv"

	"arctally/report/sheet"
)

// waveDrawing puts the strips of a wave one below the other.
type waveDrawing struct {
	*Drawing
	wave *Wave
}

// x is where a tick lies.
func (d waveDrawing) x(tick int64) float64 {
	share := float64(tick-d.wave.From) / float64(d.wave.Until-d.wave.From)
	return waveLeft + math.Min(1, math.Max(0, share))*(waveWidth-waveLeft-waveRight)
}

// part is where the k-th of n parts begins.
func (d waveDrawing) part(k, n int) float64 {
	return waveLeft + float64(k)/float64(n)*(waveWidth-waveLeft-waveRight)
}

// strip draws one quantity.
func (d waveDrawing) strip(s *strip, f frame, bands [][2]int64) {
	low, high := s.scale()
	a := newAxis(low, high, f)
	if low > -hardlyBeyond*(high-low) { // what is about zero stands on it
		a.low = max(a.low, 0)
	}
	window := &chart{frame: f, unit: s.unit, window: s.limits, points: []point{{}}}
	d.add(window.windowBand(a)...)
	var during Layer
	for _, b := range bands {
		from, to := d.x(b[0]), d.x(b[1])
		during = append(during, Rect{Class: apartClass, X: tenth(from), Y: tenth(f.top), Width: tenth(math.Max(2, to-from)), Height: tenth(f.height - f.top)})
	}
	d.add(during...)
	d.add(a.grid(f)...)
	d.add(d.ranges(s, a)...)
	d.add(d.missing(s, f)...)
	d.add(d.mean(s, a)...)
	lines, words := window.limits(a)
	d.add(lines...)
	d.add(d.cuts(s, a)...)
	d.add(f.axes(), Label{Class: "start", X: tenth(waveLeft), Y: tenth(f.top), DY: whole(-8), Words: s.name + ", " + s.unit.Name})
	d.add(words...)
}

// measured reports whether there is anything to draw.
func (s *strip) measured() bool {
	return slices.ContainsFunc(s.Low, func(v float64) bool { return !math.IsNaN(v) })
}

// scaled is the share of the extremes that a scale must show: the strike of an arc is
// rare, and far from all that is judged. Ours, no source.
const scaled = 0.9

// scale spans the limits, the means that are judged, and the middle nine tenths of
// the extremes; what lies beyond is cut, and marked.
func (s *strip) scale() (low, high float64) {
	low, high = middle(s.Low, 1-scaled), middle(s.High, scaled)
	for k := range s.means {
		mean := s.of(&s.means[k])
		low, high = math.Min(low, mean), math.Max(high, mean)
	}
	for _, limit := range []*float64{s.limits.low, s.limits.high} {
		if limit != nil {
			low, high = math.Min(low, *limit), math.Max(high, *limit)
		}
	}
	return low, high
}

// hardlyBeyond is the share of a scale by which nobody sees that something is beyond it. Ours,
// no source.
const hardlyBeyond = 0.05

// middle is the value that a share of the known ones does not pass.
func middle(values []float64, share float64) float64 {
	known := slices.DeleteFunc(slices.Clone(values), math.IsNaN)
	slices.Sort(known)
	return known[int(math.Round(share*float64(len(known)-1)))]
}

// ranges is what was measured, lowest to highest, one outline for each stretch
// without a hole.
func (d waveDrawing) ranges(s *strip, a axis) Layer {
	inside := func(v float64) Number { return tenth(math.Min(a.bottom, math.Max(a.top, a.y(v)))) }
	var o Outline
	for from := 0; from < len(s.Low); from++ {
		until := s.known(from)
		if until == from {
			continue
		}
		o = o.move(tenth(d.part(from, len(s.Low))), inside(s.High[from]))
		for k := from; k < until; k++ {
			o = o.down(inside(s.High[k])).across(tenth(d.part(k+1, len(s.Low))))
		}
		for k := until - 1; k >= from; k-- {
			o = o.down(inside(s.Low[k])).across(tenth(d.part(k, len(s.Low))))
		}
		o, from = o.close(), until
	}
	return pathOf("measured", o)
}

// known is where the stretch ends that begins with a part: there, if the part is not known.
func (s *strip) known(from int) (until int) {
	until = from
	for until < len(s.Low) && !math.IsNaN(s.Low[until]) {
		until++
	}
	return until
}

// missing marks the parts in which nothing was measured.
func (d waveDrawing) missing(s *strip, f frame) (holes Layer) {
	for k := 0; k < len(s.Low); k++ {
		from := k
		for k < len(s.Low) && math.IsNaN(s.Low[k]) {
			k++
		}
		if k > from {
			x := d.part(from, len(s.Low))
			holes = append(holes, Rect{Class: "unseen", X: tenth(x), Y: tenth(f.top), Width: tenth(d.part(k, len(s.Low)) - x), Height: tenth(f.height - f.top)})
		}
	}
	return holes
}

// mean is the line that is judged; it breaks where the arc was out, and where nothing
// was measured.
func (d waveDrawing) mean(s *strip, a axis) Layer {
	var o Outline
	broken := true
	for k := range s.means {
		m := &s.means[k]
		if d.blind(s, m.Tick) {
			broken = true
			continue
		}
		x, y := tenth(d.x(m.Tick)), tenth(a.y(s.of(m)))
		if broken || !m.Joins {
			o = o.move(x, y).right(tenth(0.1)) // one alone shows too
		} else {
			o = o.line(x, y)
		}
		broken = false
	}
	if o == nil {
		return nil
	}
	return Layer{Path{Class: "mean", Open: true, Outline: o}}
}

// blind reports whether nothing was measured at a tick.
func (d waveDrawing) blind(s *strip, tick int64) bool {
	share := float64(tick-d.wave.From) / float64(d.wave.Until-d.wave.From)
	return math.IsNaN(s.Low[int(share*float64(len(s.Low)))])
}

// cuts mark each stretch that is visibly beyond the scale at its edge, and say how far the
// furthest goes, on either side.
func (d waveDrawing) cuts(s *strip, a axis) (marks Layer) {
	for _, side := range []struct {
		values      []float64
		edge, sense float64 // 1 is upwards
	}{{s.High, a.high, 1}, {s.Low, a.low, -1}} {
		worst, beyond := -1, false
		for k, v := range side.values {
			out := side.sense*(v-side.edge) > hardlyBeyond*(a.high-a.low)
			if out && !beyond {
				marks = append(marks, Path{Class: "cut", Outline: polygon((d.part(k, len(side.values))+d.part(k+1, len(side.values)))/2, a.y(side.edge)+5*side.sense, 5, 3, -90*side.sense)})
			}
			if beyond = out; out && (worst < 0 || side.sense*(v-side.values[worst]) > 0) {
				worst = k
			}
		}
		if worst >= 0 {
			x, class := d.part(worst, len(side.values))+10, "start cutword"
			if x > waveWidth/2 {
				x, class = x-20, "end cutword"
			}
			marks = append(marks, Label{Class: class, X: tenth(x), Y: tenth(a.y(side.edge) + 5 + 5*side.sense), Words: sheet.Digits(&side.values[worst], s.unit.Digits) + " " + s.unit.Name})
		}
	}
	return marks
}

// times is the scale below: seconds from the beginning of the event.
func (d waveDrawing) times(e *sheet.Event, foot float64) {
	start := e.Lead.Start.Tick
	from, until := float64(d.wave.From-start)/1e9, float64(d.wave.Until-start)/1e9
	step := roundStep((until - from) / 8)
	var scale Layer
	for n := math.Ceil(from/step - 1e-9); n*step <= until*(1+1e-9); n++ {
		x := tenth(d.x(start + int64(n*step*1e9)))
		scale = append(scale, Path{Class: "tickline", Outline: Outline{}.move(x, tenth(foot)).below(whole(5))},
			Label{Class: "mid", X: x, Y: tenth(foot + 20), Words: strconv.FormatFloat(n*step+0, 'f', decimalsOf(step), 64)}) // adding 0 makes a negative zero positive
	}
	d.add(scale...)
	d.add(Label{Class: "end", X: tenth(waveWidth - waveRight), Y: tenth(foot + 38), Words: "s from the beginning of the event, " + e.Began.Clock()})
}

// spansOf are the times of the findings of an event.
func spansOf(e *sheet.Event, w *Wave) (spans [][2]int64) {
	for _, f := range e.Of {
		if from, to := f.Start.Tick, f.Start.Tick+int64(f.Duration*1e9); f.Start.Epoch == e.Lead.Start.Epoch && from < w.Until && to >= w.From {
			spans = append(spans, [2]int64{from, to})
		}
	}
	return spans
}
