package capture

import (
	"fmt"
	"math"

	"arctally/acquire/series"
)

const (
	// arcLike is the current in A above which an arc could be burning: sensors
	// show a few amperes with no arc, and what stands still below tells nothing.
	arcLike = 5.0
	// refreshEvery is how many steps pass before the usual step is measured anew.
	refreshEvery = 1024
	// bursty is the longest step in s that may be usual where it is not the
	// median: messages that come in bursts.
	bursty      = 0.5e9
	burstyShare = 0.97
)

// measure is the first reading: it learns what the second needs to know.
type measure struct {
	*plan
	rows, samples, broken int64
	behind                int64 // samples before the latest time, or in a new epoch
	firstBroken           row

	began  bool
	first  int64 // tick
	epoch  int
	latest int64

	steps histogram // ns, forward
	usual float64   // ns: steps up to usualTimes this are no gap
	both  standstill
	volts standstill
	amps  standstill

	looks  looks
	levels levels
	stops  stops
	ends   histogram // ns that values had stood still when the current went

	lastV, lastI     float64
	vDigits, iDigits digits
	turnDigits       digits
	arcVolts         float64
	arcSamples       int64
	iFactor, vFactor float64
	onlyFlagged      bool
	changed          bool
}

// digits is how many decimals a column needs, and how many 32 bits can hold.
type digits struct {
	decimals int
	largest  float64
}

func (d *digits) add(n number, value float64) {
	if n.decimals > d.decimals {
		d.decimals = max(d.decimals, n.significant())
	}
	d.largest = max(d.largest, math.Abs(value))
}

// held returns the decimals to keep, and whether some had to go.
func (d *digits) held() (int, bool) {
	most := d.decimals
	for most > 0 && d.largest*float64(powers[most]) > math.MaxInt32-1 {
		most--
	}
	return most, most < d.decimals
}

func newMeasure(p *plan) *measure {
	return &measure{
		plan: p, iFactor: p.current.factor.value(), vFactor: p.voltage.factor.value(),
		onlyFlagged: p.flag.given(),
	}
}

func (m *measure) lines(tally) {}

func (m *measure) row(r *row) error {
	m.rows++
	switch r.state {
	case unreadable:
		if m.broken++; m.broken == 1 {
			m.firstBroken = *r
		}
		return nil
	case noValue:
		m.lose()
		return nil
	}
	m.samples++
	v, i := r.v.value(), r.i.value()
	m.vDigits.add(r.v, v)
	m.iDigits.add(r.i, i)
	if r.turned {
		m.turnDigits.add(r.turns, r.turns.value())
	}
	if !m.began {
		m.first = r.tick
	}
	if !m.began || r.epoch != m.epoch {
		if m.began {
			m.behind++
		}
		m.began, m.epoch, m.latest = true, r.epoch, r.tick
		m.lose()
		m.lastV, m.lastI = v, i
		return nil
	}
	d := r.tick - m.latest
	if d > 0 {
		m.latest = r.tick
		m.step(d, v, i, r)
	}
	if d < 0 {
		m.behind++
	}
	return nil
}

// lose forgets what is under way.
func (m *measure) lose() {
	m.both.lose()
	m.volts.lose()
	m.amps.lose()
	m.looks.lose()
}

// usualTimes the usual step is no gap in the first reading, which does not
// know the refresh interval yet.
const usualTimes = 20

// step takes a row that brings time forward by d.
func (m *measure) step(d int64, v, i float64, r *row) {
	m.steps.add(d)
	if m.steps.n <= 8 || m.steps.n%refreshEvery == 0 {
		m.usual = m.usualStep()
	}
	arc := math.Abs(m.lastI*m.iFactor) > arcLike && (r.flag || !m.onlyFlagged)
	if arc {
		m.arcVolts += math.Abs(m.lastV * m.vFactor)
		m.arcSamples++
	}
	m.look(r.tick, v, i, arc)
	sameV, sameI := v == m.lastV, i == m.lastI
	m.changed = m.changed || !sameV || !sameI
	known := usualTimes * m.usual
	m.both.step(r.tick, d, sameV && sameI, arc, known)
	m.volts.step(r.tick, d, sameV, arc, known)
	m.amps.step(r.tick, d, sameI, arc, known)
	m.lastV, m.lastI = v, i
}

// usualStep is the median step, or the long one between bursts of messages.
func (m *measure) usualStep() float64 {
	median := m.steps.quantile(0.5)
	if long := m.steps.quantile(burstyShare); long > median && long <= bursty {
		return long
	}
	return median
}

// found is what the first reading found out.
type found struct {
	source       series.Source
	notes        []string
	vDecimals    int
	iDecimals    int
	turnDecimals int
	turnsBack    bool  // their factor is below 0
	first        int64 // tick
	step         int64 // ns, median
	stood        still
	neverMoved   bool
}

// mostBroken is the share of unreadable rows beyond which the options, more likely than
// the rows, are at fault.
const mostBroken = 0.5

// instantaneousStep is the longest step in ns that counts as 1 kHz; clocks of
// captures are off by less than this allows.
const instantaneousStep = 1.01e6

// gapTimes the usual step, or refreshTimes the refresh interval, still join two
// samples.
const (
	gapTimes     = 10
	refreshTimes = 2
)

func (m *measure) findings() (*found, error) {
	if m.samples == 0 {
		return nil, m.useless()
	}
	if m.behind > m.samples/10*9 {
		return nil, errBackwards(m.name, m.samples)
	}
	f := &found{step: int64(math.Round(m.steps.quantile(0.5))), first: m.first}
	if s := m.rateStep(); s > 0 {
		f.step = s
	}
	if float64(m.broken) > mostBroken*float64(m.rows) {
		f.notes = append(f.notes, fmt.Sprintf("%d of %d rows cannot be read: %s were expected; are these the columns, and is this the layout of the time?",
			m.broken, m.rows, m.expected()))
	}
	f.stood = m.stoodStill(float64(f.step))
	f.neverMoved = !m.changed
	f.source = m.describeSource(f)
	f.source.Channels = m.channels(f)
	m.countTurns(f)
	if m.arcSamples > 0 && m.arcVolts/float64(m.arcSamples) > unlikelyVolts {
		f.notes = append(f.notes, fmt.Sprintf("the mean voltage under current is %.0f V: is a factor missing, as in --voltage N*0.1?",
			m.arcVolts/float64(m.arcSamples)))
	}
	return f, nil
}

// unlikelyVolts is above what a welding arc needs at any current in use.
const unlikelyVolts = 70

// errBackwards is the error of a capture whose rows stand in another order.
func errBackwards(name string, rows int64) error {
	return &Error{
		Name: name, What: fmt.Sprintf("the time runs backwards in most of %d rows", rows),
		Next: "a capture is read in the order of its rows: is the newest row first, or is another column the time?",
	}
}

func (m *measure) useless() error {
	if m.rows == 0 {
		return &Error{Name: m.name, What: "there is no row of data"}
	}
	if m.broken == 0 {
		return &Error{Name: m.name, What: fmt.Sprintf("none of the %d rows has a voltage and a current", m.rows)}
	}
	return &Error{
		Name: m.name, Line: m.firstBroken.line,
		What: fmt.Sprintf("%d of %d rows cannot be read: %s in %q", m.broken, m.rows, m.firstBroken.why, m.firstBroken.text),
		Next: fmt.Sprintf("%s were expected: %s", m.expected(), m.plan.notes[0]),
	}
}

// expected says what a row should look like.
func (m *measure) expected() string {
	return fmt.Sprintf("%d columns parted by %q", m.columns, m.separator)
}

func (m *measure) rateStep() int64 {
	if m.stamps != nil {
		return 0
	}
	return int64(math.Round(1e9 / m.rate))
}

func (m *measure) describeSource(f *found) series.Source {
	s := series.Source{
		Name: m.name, Link: "capture", Unprotected: true,
		Refresh:   f.stood.refresh,
		HeldAfter: f.stood.heldAfter, MayBeHeldAfter: f.stood.mayBeAfter,
		HeldArc: f.stood.heldArc,
		MaxStep: max(int64(gapTimes*float64(f.step)), int64(math.Ceil(3*m.usualStep())), refreshTimes*f.stood.refresh),
	}
	if m.flag.given() {
		s.HeldAfter, s.MayBeHeldAfter, s.HeldArc = 0, 0, 0
	}
	return s
}

func (m *measure) basis(f *found) series.Basis {
	mean, inGaps := m.steps.between(0, float64(f.source.MaxStep))
	if mean == 0 || f.stood.refresh > int64(instantaneousStep) {
		return series.Average
	}
	if max(float64(f.step), inGaps/float64(m.samples)) > instantaneousStep {
		return series.Average
	}
	return series.Instantaneous
}

func (m *measure) channels(f *found) []series.Channel {
	basis := m.basis(f)
	var cut bool
	f.vDecimals, cut = m.vDigits.held()
	f.noteCut(cut, "voltage", f.vDecimals)
	f.iDecimals, cut = m.iDigits.held()
	f.noteCut(cut, "current", f.iDecimals)
	c := []series.Channel{
		{Name: "voltage", Unit: "V", Scale: scale(m.voltage.factor, f.vDecimals), Basis: basis},
		{Name: "current", Unit: "A", Scale: scale(m.current.factor, f.iDecimals), Basis: basis},
	}
	if m.wireSpeed.given() {
		c = append(c, series.Channel{Name: "wire_speed", Unit: "m/s", Scale: 1})
	}
	if m.wireLength.given() {
		c = append(c, series.Channel{Name: "wire_length", Unit: "m", Scale: 1})
	}
	for k := range m.position.at {
		c = append(c, series.Channel{Name: positionChannels[k], Unit: "m", Scale: 1})
	}
	if m.travel.given() {
		c = append(c, series.Channel{Name: "travel_speed", Unit: "m/s", Scale: 1})
	}
	return c
}

func (f *found) noteCut(cut bool, word string, decimals int) {
	if cut {
		f.notes = append(f.notes, fmt.Sprintf("the %s is kept to %d decimals of what was written", word, decimals))
	}
}
