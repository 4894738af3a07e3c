package trace

import (
	"slices"

	"arctally/acquire/series"
	"arctally/analyze/finding"
)

// PowerChannel is the name of the line of voltage times current, sample by sample.
const PowerChannel = "power"

// meanOf are the lines of what was held against the limits, by name.
var meanOf = map[string]struct {
	unit string
	of   func(*finding.JudgedMeans) float64
}{
	"voltage mean": {"V", func(m *finding.JudgedMeans) float64 { return m.Voltage }},
	"current mean": {"A", func(m *finding.JudgedMeans) float64 { return m.Current }},
	"power mean":   {"W", func(m *finding.JudgedMeans) float64 { return m.Power }},
}

// Means parts the names of channels from those of means that were judged.
func Means(names []string) (channels, means []string) {
	for _, name := range names {
		if _, ok := meanOf[name]; ok {
			means = append(means, name)
		} else {
			channels = append(channels, name)
		}
	}
	return channels, means
}

// AddMeans adds lines of means, which break where the arc was out.
func (t *Trace) AddMeans(names []string, judged *finding.Judged) {
	for _, name := range names {
		kind := meanOf[name]
		l := lane{window: t.Window, keepAll: true, line: Line{Channel: name, Unit: kind.unit, decimals: floating}}
		for m := range judged.During(t.Epoch, t.From, t.Until) {
			l.pending = l.pending || !m.Joins
			l.add(m.Tick, kind.of(m))
		}
		t.Lines = append(t.Lines, l.finish())
	}
}

// multiplies reports whether a source has no power of its own but what makes it.
func multiplies(source *series.Source) bool {
	return len(source.Channels) > series.CurrentChannel && !slices.ContainsFunc(source.Channels, func(c series.Channel) bool { return c.Name == PowerChannel })
}

// power takes the samples of a block as voltage times current. Sums, and summaries of a
// second, do not say how high it went.
func (r *Reducer) power(l *lane, source *series.Source, b *series.Block) error {
	v := r.arcLine(source, series.VoltageChannel, b.At(0))
	i := r.arcLine(source, series.CurrentChannel, b.At(0))
	if err := l.measures("W", 0, b.At(0)); err != nil {
		return err
	}
	l.follow(source, b)
	for from, end := l.clip(b, min(len(b.V), len(b.I))); from < end; from++ {
		l.sample(source, b.At(from), v.Of(float64(b.V[from]))*i.Of(float64(b.I[from])))
	}
	return nil
}
