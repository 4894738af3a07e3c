package procedure

import (
	"strings"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/heat"
)

// What a job may say of the way from the arc to the samples at most; those of skew and
// clock are the bounds of the link's description, the others ours.
const (
	widestSkew     = quantity.Seconds(0.1)
	worstClock     = 1e5 // ppm
	mostResistance = quantity.Ohms(0.1)
)

// alternating is the skew of a converter that takes voltage and current in turn, each
// of them first every other time.
const alternating = "alternating"

// readSignals reads what people say of how voltage and current are taken. It rules over
// what a box says of itself.
func readSignals(job section) (g heat.Signals) {
	s, ok := job.sub("signals", "voltage_tap", "leads", "skew", "voltage_bandwidth", "current_bandwidth", "clock")
	if !ok {
		return g
	}
	g.Tap = s.choice("voltage_tap", heat.AtTorch, heat.AtFeeder, heat.AtSource)
	g.Leads = stated(s, "leads", 0, mostResistance, "mohm")
	g.VoltageBandwidth = float64(positive[quantity.Hertz](s, "voltage_bandwidth"))
	g.CurrentBandwidth = float64(positive[quantity.Hertz](s, "current_bandwidth"))
	g.Clock = partsPerMillion(s, "clock", worstClock)
	if n := s.values["skew"]; n != nil && n.Value == alternating {
		g.Alternates = true
		return g
	}
	g.Skew = stated(s, "skew", -widestSkew, widestSkew, "ms")
	return g
}

// partsPerMillion returns a share that is written in ppm, as those of oscillators are.
func partsPerMillion(s section, key string, highest float64) series.Stated {
	n := s.scalar(key)
	if n == nil {
		return series.Stated{}
	}
	number, written := strings.CutSuffix(strings.TrimSpace(n.Value), "ppm")
	parts, err := quantity.Number(number)
	if !written || err != nil || !(parts >= 0 && parts <= highest) {
		s.doc.fail(n, "%s %q: write it in ppm, from 0 to %g ppm", s.path(key), n.Value, highest)
		return series.Stated{}
	}
	doubt(s, key, quantity.Ratio(parts/1e6), n)
	return series.Stated{Value: parts / 1e6, Known: true}
}

// stated returns a quantity within limits, and whether the key is there at all: zero is
// a statement.
func stated[Q quantity.Quantity](s section, key string, lowest, highest Q, unit string) series.Stated {
	q, n := value[Q](s, key)
	switch {
	case n == nil:
		return series.Stated{}
	case q < lowest || q > highest:
		s.doc.fail(n, "%s must be from %s to %s, not %s", s.path(key), quantity.Text(lowest, unit, 0), quantity.Text(highest, unit, 0), n.Value)
		return series.Stated{}
	default:
		return series.Stated{Value: float64(q), Known: true}
	}
}
