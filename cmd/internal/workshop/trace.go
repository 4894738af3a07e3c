package workshop

import (
	"fmt"
	"math"
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
	events, err := reader.EventsWithin(w.Epoch, w.From, w.Until)
	if err != nil {
		return trace.Trace{}, err
	}
	reduced.Happened(events)
	t := tracing{reader: reader, window: w, reduced: reduced}
	if err := t.look(); err != nil {
		return trace.Trace{}, err
	}
	switch {
	case t.source == nil:
		err = t.outside()
	case !t.summed:
		err = t.samples()
	default:
		err = t.cells()
		if err == nil && reduced.Wants(trace.TurnsChannel) && (w.Until-w.From)/int64(w.Columns) < mostColumnOfTurns {
			err = t.turns()
		}
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
	summed  bool           // of cells, not of samples
	level   int            // of the cells
	unsaid  bool           // the record does not say which of them follow one another
}

// How many samples of voltage and current a window may have and still be read sample by
// sample: with digests, what a core decodes in some milliseconds; without, what two
// cores decode in well under a second.
const (
	mostSamples      = 250_000
	mostOlderSamples = 12_000_000
)

// mostColumnOfTurns is how long a column may be, in ns, and the rotation still be read,
// of which there are no cells.
const mostColumnOfTurns = 1_000_000_000

// turns takes the counts of the torch.
func (t *tracing) turns() error {
	for group, err := range t.reader.TurnsBetween(t.window.Epoch, t.window.From, t.window.Until) {
		if err != nil {
			return err
		}
		for k := range group.Sources {
			own := group.Sources[k]
			t.source = &own
		}
		for k := range group.Blocks {
			if err := t.reduced.Add(t.source, &group.Blocks[k]); err != nil {
				return err
			}
		}
	}
	return nil
}

// firstLook is how much of a window is looked at first, in ns: groups are put in order
// before the first one is there, and of a long window these are many.
const firstLook = 10_000_000_000

// look learns from the first group of the window who speaks, and how fast.
func (t *tracing) look() error {
	w := t.window
	for width := int64(firstLook); ; width *= 8 { // where a gap comes first
		until := w.Until
		if w.Until-w.From > width {
			until = w.From + width
		}
		first, ok, err := t.reader.Glance(w.Epoch, w.From, until)
		switch {
		case err != nil:
			return err
		case ok:
			return t.learn(&first)
		case until == w.Until:
			return nil
		case width > math.MaxInt64/8:
			width = math.MaxInt64 / 8
		}
	}
}

// learn takes what the first group says.
func (t *tracing) learn(first *record.Glance) error {
	if !first.Described {
		return fmt.Errorf("samples of epoch %d came before the description of their source", t.window.Epoch)
	}
	t.source = &first.Source
	if err := t.reduced.Check(t.source); err != nil {
		return err
	}
	return t.choose(first)
}

// samples takes the samples of the window.
func (t *tracing) samples() error {
	for group, err := range t.reader.Between(t.window.Epoch, t.window.From, t.window.Until) {
		if err == nil {
			err = t.group(group)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// group takes the samples of a group.
func (t *tracing) group(g *record.Group) error {
	for k := range g.Sources {
		own := g.Sources[k]
		t.source = &own
	}
	for k := range g.Blocks {
		if err := t.reduced.Add(t.source, &g.Blocks[k]); err != nil {
			return err
		}
	}
	return nil
}

// choose chooses of what the window is made: samples, or cells.
func (t *tracing) choose(first *record.Glance) error {
	finest, err := t.reader.Finest(first.Group)
	if err != nil {
		return err
	}
	lengths := trace.Lengths{MostSamples: mostSamples}
	if t.unsaid = finest > 0; t.unsaid {
		lengths.MostSamples = mostOlderSamples
	}
	for level := finest; level <= record.Coarsest; level++ {
		lengths.Cells = append(lengths.Cells, record.CellLength(level))
	}
	t.level, t.summed = t.window.Level(first.Rate, lengths)
	t.level += finest
	return nil
}

// cells takes the summaries.
func (t *tracing) cells() error {
	var channels []int
	for k, c := range t.source.Channels {
		if t.reduced.Wants(c.Name) {
			channels = append(channels, k)
		}
	}
	w := t.window
	found, err := t.reader.Extremes(channels, w.Epoch, w.From, w.Until, t.level)
	if err != nil {
		return err
	}
	length := record.CellLength(t.level)
	for k, channel := range channels {
		for _, s := range found[k] {
			cell := trace.Cell{Tick: s.Tick, Length: length, Low: s.Min, High: s.Max, Broken: s.Broken, Unsaid: t.unsaid}
			if err := t.reduced.AddCell(t.source, channel, cell); err != nil {
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
