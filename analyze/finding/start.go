package finding

import (
	"cmp"
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/note"
	"arctally/analyze/pass"
)

// start judges what held as a pass begins: the last readings of the channels, and
// what a person typed in.
type start struct {
	deaf
	*ledger
	temperature *quantity.Celsius
	gasFlow     *quantity.CubicMetresPerSecond
	notes       []note.Note // by the moment for which they hold
	ended       pass.Moment // the pass before
	any         bool        // there was one
}

func (s *start) note(n note.Note) {
	at, _ := slices.BinarySearchFunc(s.notes, n, func(a, b note.Note) int {
		return cmp.Or(momentOf(a).Compare(momentOf(b)), -1) // behind those of the same moment
	})
	s.notes = slices.Insert(s.notes, at, n)
}

func momentOf(n note.Note) pass.Moment { return pass.Moment{Epoch: n.Epoch, Tick: n.Tick} }

// typedTemperature returns the newest temperature typed in before a pass. One from
// before the end of the pass before it says nothing about how far that has cooled.
func (s *start) typedTemperature(at pass.Moment) (n note.Note, ok bool) {
	for _, x := range s.notes {
		if x.Temperature != nil && momentOf(x).Compare(at) <= 0 && !(s.any && momentOf(x).Compare(s.ended) < 0) {
			n, ok = x, true
		}
	}
	return n, ok
}

// typedGasFlow returns the newest gas flow typed in before a pass: what is set at
// the regulator holds until it is set anew.
func (s *start) typedGasFlow(at pass.Moment) (n note.Note, ok bool) {
	for _, x := range s.notes {
		if x.GasFlow != nil && momentOf(x).Compare(at) <= 0 {
			n, ok = x, true
		}
	}
	return n, ok
}

// Begin implements pass.Listener. It judges temperature and gas flow, each value by
// itself, and notes the one that stands nearest: a temperature that a person took,
// else a channel's; a gas flow that a channel brings, else the one typed in.
func (s *start) Begin(p *pass.Pass, at pass.Position) {
	if s.temperature != nil {
		p.AtStart.Temperature = &pass.Reading[quantity.Celsius]{Value: *s.temperature}
		s.judge(at, Interpass, float64(*s.temperature), "")
	}
	if n, ok := s.typedTemperature(at.Moment); ok {
		p.AtStart.Temperature = &pass.Reading[quantity.Celsius]{Value: *n.Temperature, By: n.By}
		s.judge(at, Interpass, float64(*n.Temperature), n.By)
	}
	if n, ok := s.typedGasFlow(at.Moment); ok {
		p.AtStart.GasFlow = &pass.Reading[quantity.CubicMetresPerSecond]{Value: *n.GasFlow, By: n.By}
		s.judge(at, GasFlow, float64(*n.GasFlow), n.By)
	}
	if s.gasFlow != nil { // judged by its mean while the arc burns
		p.AtStart.GasFlow = &pass.Reading[quantity.CubicMetresPerSecond]{Value: *s.gasFlow}
	}
}

func (s *start) judge(at pass.Position, rule Rule, value float64, by string) {
	if limit, out := outside(value, s.limits(rule)); out {
		s.add(Finding{Rule: rule, Start: at.Moment, FromStart: true, ToEnd: true, Worst: value, Limit: limit, By: by})
	}
}

// End implements pass.Listener.
func (s *start) End(p *pass.Pass) { s.ended, s.any = p.End, true }
