package sheet

import (
	"fmt"
	"strings"

	"arctally/analyze/waveform"
)

// Burned are passes in a row that burned in one mode of transfer.
type Burned struct {
	Mode   waveform.Mode
	Passes []*Pass
}

// Transfers are the modes in which the passes burned, in their order; of a pass without one
// nothing is known.
func (s *Sheet) Transfers() (all []Burned) {
	for i := range s.Passes {
		p := &s.Passes[i]
		if p.Waveform == nil || p.Waveform.Mode == "" {
			continue
		}
		if n := len(all); n == 0 || all[n-1].Mode != p.Waveform.Mode {
			all = append(all, Burned{Mode: p.Waveform.Mode})
		}
		last := &all[len(all)-1]
		last.Passes = append(last.Passes, p)
	}
	return all
}

// Text says which passes burned how, with the measures that mean something in their mode.
func (b *Burned) Text() string {
	first, last := b.Passes[0].Number, b.Passes[len(b.Passes)-1].Number
	text := fmt.Sprintf("pass %d %s", first, b.Mode)
	if last != first {
		text = fmt.Sprintf("passes %d to %d %s", first, last, b.Mode)
	}
	var said []string
	for _, m := range measuresOf[b.Mode] {
		if span := b.span(m); span != "" {
			said = append(said, span+m.words)
		}
	}
	if said == nil {
		return text
	}
	return text + " (" + strings.Join(said, ", ") + ")"
}

// burnMeasure is one of those that mean something in a mode.
type burnMeasure struct {
	of     func(*WaveformRow) *float64
	times  float64
	digits int
	words  string
}

var measuresOf = map[waveform.Mode][]burnMeasure{
	waveform.Dip: {
		{func(w *WaveformRow) *float64 { return w.Transfer }, 1, 0, " shorts over 1 ms a second"},
		{func(w *WaveformRow) *float64 { return w.ShortShare }, 100, 0, " % of the time in the short"},
	},
	waveform.Pulsed: {
		{func(w *WaveformRow) *float64 { return w.PulseRate }, 1, 0, " pulses a second"},
		{func(w *WaveformRow) *float64 { return w.Peak }, 1, 0, " A peak"},
		{func(w *WaveformRow) *float64 { return w.Background }, 1, 0, " A background"},
		{func(w *WaveformRow) *float64 { return w.PulseShare }, 100, 0, " % of the time in the pulse"},
	},
	waveform.Spray:    {{func(w *WaveformRow) *float64 { return w.Unrest }, 100, 1, " % unrest of the voltage"}},
	waveform.Globular: {{func(w *WaveformRow) *float64 { return w.Unrest }, 100, 1, " % unrest of the voltage"}},
}

// span returns the least and the most of a measure, empty where it is not known.
func (b *Burned) span(m burnMeasure) string {
	var least, most *float64
	for _, p := range b.Passes {
		v := m.of(p.WaveformRow())
		if v == nil {
			continue
		}
		x := *v * m.times
		if least == nil || x < *least {
			least = Known(x)
		}
		if most == nil || x > *most {
			most = Known(x)
		}
	}
	if least == nil {
		return ""
	}
	low, high := Digits(least, m.digits), Digits(most, m.digits)
	if low == high {
		return low
	}
	return low + " to " + high
}
