package finding

import (
	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/pass"
)

// Silent is what a source shows that should go with something else, and does not.
type Silent struct {
	Rule  Rule // WireWithoutArc, VoltageOnly, CurrentOnly
	Count int
	Time  quantity.Seconds
	First pass.Moment
}

// aMoment is for how long, in s, wire, voltage or current may come alone: a wire runs in
// before the strike, and a source is switched on a little before. Ours; common
// practice, no source.
const aMoment = 1

// Whether the wire feeds: at a tenth of the set speed, or of 3 m/min where none is set, and
// read not longer ago than this. Ours, no source.
const (
	feedingShare = 0.1
	usualSpeed   = 0.05          // m/s
	freshWire    = 2_500_000_000 // ns: a slow meter reads once a second
)

// silent judges what comes alone: wire that feeds while nothing burns, voltage
// without current while the wire feeds, current without voltage.
type silent struct {
	deaf
	*ledger
	speed  float64 // of the wire in m/s
	readAt int64   // tick

	rule    Rule // empty is nothing
	since   pass.Moment
	place   *bore.Place
	turns   float64
	until   int64 // tick
	inPass  bool  // a pass was under way as it began
	outside []Silent
}

// wire takes a reading of the wire speed.
func (s *silent) wire(tick int64, speed float64) { s.speed, s.readAt = speed, tick }

// feeds reports whether the wire feeds at a tick.
func (s *silent) feeds(tick int64) bool {
	set := float64(s.job.Setpoints.WireSpeed)
	if set == 0 {
		set = usualSpeed
	}
	return s.speed >= feedingShare*set && tick-s.readAt <= freshWire
}

// Burn implements pass.Listener: current that flows at no voltage is no arc. Of a bucket in
// which the arc went out, what came after that has been told.
func (s *silent) Burn(b *pass.Bucket) {
	if 2*b.Arc < b.End-b.Start {
		return
	}
	rule := Rule("")
	if b.V/float64(b.Arc) < float64(s.job.Procedure.Judge.ArcVoltage) {
		rule = CurrentOnly
	}
	s.shows(rule, b.Start, b.End)
}

// idle takes what the source shows while no arc burns.
func (s *silent) idle(i arc.Idle) {
	judge := s.job.Procedure.Judge
	if i.Wire > 0 {
		s.wire(i.Tick, i.Wire)
	}
	voltage, current, wire := i.V >= float64(judge.ArcVoltage), i.I >= float64(judge.ArcCurrent), s.feeds(i.Tick)
	rule := Rule("")
	switch {
	case current && !voltage:
		rule = CurrentOnly
	case voltage && !current && wire:
		rule = VoltageOnly
	case wire && !voltage && !current:
		rule = WireWithoutArc
	}
	s.shows(rule, i.From, i.Tick)
}

// shows goes on with what came alone, or begins with it.
func (s *silent) shows(rule Rule, from, to int64) {
	if rule != s.rule || from != s.until {
		s.close()
		if rule != "" {
			at := s.torch.At(from)
			s.rule, s.since, s.place, s.turns, s.inPass = rule, at.Moment, at.Place, at.Turns, s.pass != nil
		}
	}
	s.until = to
}

// lasted is for how long it has.
func (s *silent) lasted() quantity.Seconds { return quantity.SecondsOf(s.until - s.since.Tick) }

// close files what came alone, if it lasted: as a finding of the pass under way, else as
// something that happened outside of any.
func (s *silent) close() {
	rule, lasted := s.rule, s.lasted()
	s.rule = ""
	if rule == "" || float64(lasted) < aMoment {
		return
	}
	if s.inPass && s.pass != nil {
		if rule != CurrentOnly && s.toldAsOut() {
			return
		}
		f := Finding{Rule: rule, Start: s.since, Place: s.place, Duration: lasted, Worst: float64(lasted), Limit: aMoment}
		if s.since.Epoch == s.epoch { // a number of turns means nothing beyond its epoch
			f.Way = way(s.turns, s.torch.At(s.until).Turns)
		}
		s.add(f)
		return
	}
	for k := range s.outside {
		if o := &s.outside[k]; o.Rule == rule {
			o.Count++
			o.Time += lasted
			return
		}
	}
	s.outside = append(s.outside, Silent{Rule: rule, Count: 1, Time: lasted, First: s.since})
}

// toldAsOut reports whether the arc being out then is a finding already.
func (s *silent) toldAsOut() bool {
	began := float64(s.since.Tick) * 1e-9
	for k := len(s.found) - 1; k >= 0 && s.found[k].Pass == s.pass.Number; k-- {
		if o := &s.found[k]; o.Rule == ArcOut && o.from()-alike <= began && began <= o.until() {
			return true
		}
	}
	return false
}

// End implements pass.Listener.
func (s *silent) End(*pass.Pass) { s.close() }

// open returns what comes alone, goes on and should not: anything within a pass, and current
// without voltage at any time.
func (s *silent) open() []Open {
	if !s.goesOn() || !s.wrong() {
		return nil
	}
	o := lasting(s.rule, s.since, s.place, s.lasted(), aMoment)
	o.Certain = s.inPass && s.pass != nil
	return []Open{o}
}

// seen says what comes alone while nobody can tell whether it should: a wire that is jogged by hand
// before the strike looks the same. It is empty where nothing does.
func (s *silent) seen() string {
	if !s.goesOn() || s.wrong() {
		return ""
	}
	return rowOf(s.rule).going
}

func (s *silent) goesOn() bool { return s.rule != "" && float64(s.lasted()) >= aMoment }

func (s *silent) wrong() bool { return s.rule == CurrentOnly || s.inPass && s.pass != nil }
