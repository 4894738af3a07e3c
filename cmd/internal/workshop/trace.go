package workshop

import (
	"fmt"
	"strings"

	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/report/page/trace"
)

// readTrace reads a window of a record as a page draws it. Channels are named as
// the source does; none are voltage and current.
func readTrace(reader *record.Reader, register calib.Register, w trace.Window, channels []string) (trace.Trace, error) {
	reduced, err := trace.New(w, channels, register)
	if err != nil {
		return trace.Trace{}, err
	}
	events, err := reader.Events()
	if err != nil {
		return trace.Trace{}, err
	}
	reduced.Happened(events)
	t := tracing{reader: reader, window: w, reduced: reduced}
	if w.Summed(0) { // all that is wanted of the samples is who speaks
		err = t.samples(w.From, min(w.From+firstLook, w.Until))
	}
	if t.source == nil && err == nil {
		err = t.samples(w.From, w.Until)
	}
	if err != nil {
		return trace.Trace{}, err
	}
	switch {
	case t.source == nil:
		err = t.outside()
	case t.summed:
		err = t.seconds()
	}
	if err != nil {
		return trace.Trace{}, err
	}
	return reduced.Trace(), nil
}

// tracing is the reading of one window.
type tracing struct {
	reader  *record.Reader
	window  trace.Window
	reduced *trace.Reducer
	source  *series.Source // in force
	summed  bool           // of summaries, not of samples
}

// firstLook is how much of a long window is looked at first, in ns.
const firstLook = 10_000_000_000

// samples takes the samples of a stretch, unless the first group shows that the
// window is to be made of summaries.
func (t *tracing) samples(from, until int64) error {
	for group, err := range t.reader.Between(t.window.Epoch, from, until) {
		if err == nil {
			err = t.group(group)
		}
		if err != nil || t.summed {
			return err
		}
	}
	return nil
}

// group takes a group; of the first one it also learns who speaks, and how fast.
func (t *tracing) group(g *record.Group) error {
	for k := range g.Sources {
		first := t.source == nil
		own := g.Sources[k]
		t.source = &own
		if !first {
			continue
		}
		if err := t.reduced.Check(t.source); err != nil {
			return err
		}
		if t.summed = t.window.Summed(rateOf(g)); t.summed {
			return nil
		}
	}
	if t.source == nil {
		return fmt.Errorf("samples of epoch %d came before the description of their source", t.window.Epoch)
	}
	for k := range g.Blocks {
		if err := t.reduced.Add(t.source, &g.Blocks[k]); err != nil {
			return err
		}
	}
	return nil
}

// rateOf estimates how many times a second voltage and current are sampled.
func rateOf(g *record.Group) float64 {
	var samples int
	first, last, any := int64(0), int64(0), false
	for k := range g.Blocks {
		b := &g.Blocks[k]
		if b.Kind != series.Arc || b.Len() == 0 {
			continue
		}
		if !any {
			first, any = b.At(0), true
		}
		samples, last = samples+b.Len(), b.At(b.Len()-1)
	}
	if last <= first {
		return 0
	}
	return float64(samples-1) / (float64(last-first) * 1e-9)
}

// seconds takes the summaries.
func (t *tracing) seconds() error {
	var channels []int
	for k, c := range t.source.Channels {
		if t.reduced.Wants(c.Name) {
			channels = append(channels, k)
		}
	}
	found, err := t.reader.Extremes(channels, t.window.Epoch, t.window.From, t.window.Until)
	if err != nil {
		return err
	}
	for k, channel := range channels {
		for _, s := range found[k] {
			if err := t.reduced.AddSecond(t.source, channel, trace.Second{Tick: s.Tick, Low: s.Min, High: s.Max}); err != nil {
				return err
			}
		}
	}
	return nil
}

// outside says where there are samples, if the window lies not just in a gap.
func (t *tracing) outside() error {
	spans, err := t.reader.Epochs()
	if err != nil {
		return err
	}
	var allowed []string
	for _, s := range spans {
		if s.Epoch == t.window.Epoch && s.First < t.window.Until && s.Last >= t.window.From {
			return nil
		}
		allowed = append(allowed, fmt.Sprintf("epoch %d from %d to %d ns", s.Epoch, s.First, s.Last))
	}
	if len(allowed) == 0 {
		allowed = []string{"nothing, as the record has no samples yet"}
	}
	return &trace.Error{
		Kind: trace.Outside, Field: "from",
		Detail:  fmt.Sprintf("epoch %d has no samples from %d to %d ns", t.window.Epoch, t.window.From, t.window.Until),
		Allowed: strings.Join(allowed, ", "),
	}
}
