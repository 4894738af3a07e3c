package sensorbox

import "math"

// meters are the box's slow sensors and its turn counter.
type meters struct {
	wireAt      float64 // counts at the last reading of the wire speed
	gas         float64 // L/min, as the sensor has it
	temperature float64 // degC

	perDegree float64 // counts
	perTurn   int64   // counts
	mark      float64 // degrees turned where the torch stands at the mark, or so many turns away
	fixed     bool    // the edge of a count lies at the mark, not where the torch stood at boot
	zero      float64 // degrees turned at an edge
	atBoot    int64   // edges from there to where the torch stood at boot
	count     int64   // edges from there, without sign
	ticks     []int64
	counts    []int64
	marked    []bool           // the count stands at the mark
	due       [slowKinds]int64 // ns since the first boot
}

const slowKinds = 3

// slowSensors are read each at its own pace.
var slowSensors = [slowKinds]struct {
	channel uint8
	every   int64 // ns
	read    func(*meters, *arc) float64
}{
	{wireSpeedChannel, wireEvery, func(m *meters, a *arc) float64 { return m.wireSpeed(a.fed) }},
	{gasFlowChannel, gasEvery, func(m *meters, _ *arc) float64 { return m.gas }},
	{temperatureChannel, temperatureEvery, func(m *meters, _ *arc) float64 { return m.temperature }},
}

func newMeters(p Plan) *meters {
	m := &meters{
		temperature: ambient, perDegree: float64(p.CountsPerTurn) / 360, perTurn: int64(p.CountsPerTurn),
		fixed: p.IndexFlag || p.CountsPerTurn != countsPerTurn,
	}
	m.mark = -float64(p.StartAngle)
	if p.RotationSpeed < 0 {
		m.mark = -m.mark
	}
	return m
}

// boot starts the counts again.
func (m *meters) boot(turned, fed float64, since int64) {
	m.zero, m.atBoot = turned, 0
	if m.fixed {
		m.zero = m.mark
		m.atBoot = m.edges(turned)
	}
	m.count = m.atBoot
	m.sent()
	m.wireAt = math.Floor(fed / wirePerCount)
	for k, s := range slowSensors {
		m.due[k] = since + s.every
	}
}

// follow moves the sensors by one control step.
func (m *meters) follow(flow, power float64) {
	m.gas += (flow - m.gas) * (controlTime / gasTime)
	m.temperature += (heatShare*power/bossHeat - (m.temperature-ambient)/bossTime) * controlTime
}

// wireSpeed returns the mean feed since the last reading, as whole counts say.
func (m *meters) wireSpeed(fed float64) float64 {
	counts := math.Floor(fed / wirePerCount)
	speed := (counts - m.wireAt) * wirePerCount / (wireEvery / 1e9)
	m.wireAt = counts
	return speed
}

// edges returns how many edges lie below so many degrees turned.
func (m *meters) edges(turned float64) int64 {
	return int64(math.Floor((turned-m.zero)*m.perDegree + angleHair))
}

// sent empties what was gathered.
func (m *meters) sent() { m.ticks, m.counts, m.marked = m.ticks[:0], m.counts[:0], m.marked[:0] }

// note gathers the count as it stands.
func (m *meters) note(tick int64, direction float64, marked bool) {
	m.ticks = append(m.ticks, tick)
	m.counts = append(m.counts, int64(direction)*(m.count-m.atBoot))
	m.marked = append(m.marked, marked)
}

// turn notes the pulses of one control step that began at tick: the torch stood
// at before and stands at after, in degrees turned since the first boot.
func (m *meters) turn(before, after, direction float64, tick int64) {
	target := m.edges(after)
	for m.count != target {
		edge := m.count // turning back passes the one below
		if m.count < target {
			edge++
			m.count++
		} else {
			m.count--
		}
		at := m.zero + float64(edge)/m.perDegree
		share := min(max((at-before)/(after-before), 0), 1)
		m.note(tick+int64(share*controlTime*1e9)/1000*1000, direction, m.fixed && edge%m.perTurn == 0)
	}
}
