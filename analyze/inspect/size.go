package inspect

import (
	"cmp"
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
)

// Size is what the stations of a final measurement come to. It judges, and
// accepts nothing.
type Size struct {
	Least, Greatest Station
	Round           []Roundness      // a depth each, from the entry face on
	Taper           *quantity.Metres // mean diameter at the deepest depth less that at the first; nil with one depth
	// Verdict is the worst of the stations, with the uncertainty as the guard band;
	// empty where the limits or the uncertainty are not on record.
	Verdict heat.Verdict
	Beyond  quantity.Metres // of the station furthest out of the limits, signed; 0 where none is
}

// Roundness is what the diameters at one depth come to.
type Roundness struct {
	Depth           quantity.Metres
	Least, Greatest quantity.Metres
	Mean            quantity.Metres
	// OutOfRound is the greatest diameter less the least; nil with one diameter. Two
	// points on a diameter cannot see a bore with three or five lobes.
	OutOfRound *quantity.Metres
}

// Size computes what the stations come to; nil where there are none. A deeper
// look at form needs more than diameters.
func (m *Machining) Size() *Size {
	if len(m.Stations) == 0 {
		return nil
	}
	s := &Size{Least: m.Stations[0], Greatest: m.Stations[0]}
	for _, at := range m.Stations {
		if at.Diameter < s.Least.Diameter {
			s.Least = at
		}
		if at.Diameter > s.Greatest.Diameter {
			s.Greatest = at
		}
	}
	s.Round = m.roundness()
	if last := len(s.Round) - 1; last > 0 {
		s.Taper = new(s.Round[last].Mean - s.Round[0].Mean)
	}
	low, high := m.Wanted.Beyond(s.Least.Diameter), m.Wanted.Beyond(s.Greatest.Diameter)
	if s.Beyond = high; -low > high {
		s.Beyond = low
	}
	s.Verdict = m.verdict(s)
	return s
}

// verdict is that of the two extremes: no station between them can stand worse.
func (m *Machining) verdict(s *Size) heat.Verdict {
	if m.Expanded == nil || m.Wanted.IsZero() {
		return ""
	}
	steps := []heat.Verdict{heat.Within, heat.WithinNearLimit, heat.OutsideNearLimit, heat.Outside}
	least := heat.Judge(s.Least.Diameter, *m.Expanded, m.Wanted, 1)
	greatest := heat.Judge(s.Greatest.Diameter, *m.Expanded, m.Wanted, 1)
	return steps[max(slices.Index(steps, least), slices.Index(steps, greatest))]
}

// roundness takes the stations together by depth.
func (m *Machining) roundness() []Roundness {
	stations := slices.Clone(m.Stations)
	slices.SortStableFunc(stations, func(a, b Station) int { return cmp.Compare(a.Depth, b.Depth) })
	var found []Roundness
	for len(stations) > 0 {
		n := slices.IndexFunc(stations, func(s Station) bool { return s.Depth != stations[0].Depth })
		if n < 0 {
			n = len(stations)
		}
		found = append(found, roundnessOf(stations[:n]))
		stations = stations[n:]
	}
	return found
}

func roundnessOf(stations []Station) Roundness {
	r := Roundness{Depth: stations[0].Depth, Least: stations[0].Diameter, Greatest: stations[0].Diameter}
	for _, s := range stations {
		r.Least, r.Greatest = min(r.Least, s.Diameter), max(r.Greatest, s.Diameter)
		r.Mean += s.Diameter / quantity.Metres(len(stations))
	}
	if len(stations) > 1 {
		r.OutOfRound = new(r.Greatest - r.Least)
	}
	return r
}

// OutOfRound is the greatest of the depths; nil where no depth has two diameters.
func (s *Size) OutOfRound() *quantity.Metres {
	var most *quantity.Metres
	for _, r := range s.Round {
		if r.OutOfRound != nil && (most == nil || *r.OutOfRound > *most) {
			most = r.OutOfRound
		}
	}
	return most
}
