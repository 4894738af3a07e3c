package trace

import (
	"cmp"
	"fmt"
	"slices"

	"arctally/acquire/series"
)

// breaking are the events between whose sides something is missing.
var breaking = []series.EventKind{series.Gap, series.Overrun, series.Unplugged, series.Resumed}

// Happened takes what happened to the measurement, all of it, in any order.
func (r *Reducer) Happened(events []series.Event) {
	for _, e := range events {
		until := max(e.Until, e.Tick)
		if e.Epoch != r.window.Epoch || e.Tick >= r.window.Until || until < r.window.From {
			continue
		}
		e.Until = until
		r.events = append(r.events, e)
		if slices.Contains(breaking, e.Kind) {
			r.gaps = append(r.gaps, e)
		}
	}
	slices.SortStableFunc(r.events, func(a, b series.Event) int { return cmp.Compare(a.Tick, b.Tick) })
	r.events = r.sparse(r.events)
}

// sparse keeps one event of a kind in a column, and says how many it stands for:
// no page could show more. What a person typed in is kept as it is.
func (r *Reducer) sparse(events []series.Event) []series.Event {
	type place struct {
		kind   series.EventKind
		column int
	}
	kept := events[:0:0]
	first, more := map[place]int{}, map[int]int{}
	for _, e := range events {
		at := place{e.Kind, r.window.column(max(e.Tick, r.window.From))}
		k, found := first[at]
		if !found || e.Kind == series.Remark {
			first[at] = len(kept)
			kept = append(kept, e)
			continue
		}
		kept[k].Until = max(kept[k].Until, e.Until)
		kept[k].Count += e.Count
		more[k]++
	}
	for k, n := range more {
		kept[k].Text += fmt.Sprintf(" (and %d more like it)", n)
	}
	return kept
}
