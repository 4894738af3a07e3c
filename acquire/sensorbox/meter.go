package sensorbox

import "math"

// meters are the box's slow sensors and its turn counter.
type meters struct {
	wireAt      float64 // counts at the last reading of the wire speed
	gas         float64 // L/min, as the sensor has it
	temperature float64 // degC

	zero   float64 // degrees turned at boot
	count  int64   // counted since boot, without sign
	ticks  []int64
	counts []int64
	due    [slowKinds]int64 // ns since the first boot
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

func newMeters() *meters { return &meters{temperature: ambient} }

// boot starts the counts again.
func (m *meters) boot(turned, fed float64, since int64) {
	m.zero, m.count = turned, 0
	m.ticks, m.counts = m.ticks[:0], m.counts[:0]
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

// turn notes the pulses of one control step that began at tick: the torch stood
// at before and stands at after, in degrees turned since the first boot.
func (m *meters) turn(before, after, direction float64, tick int64) {
	const perDegree = countsPerTurn / 360.0
	target := int64(math.Floor((after-m.zero)*perDegree + angleHair))
	for m.count != target {
		at := m.zero + float64(m.count)/perDegree // the edge below; turning back passes it
		if m.count < target {
			at += 1 / perDegree
			m.count++
		} else {
			m.count--
		}
		share := min(max((at-before)/(after-before), 0), 1)
		m.ticks = append(m.ticks, tick+int64(share*controlTime*1e9)/1000*1000)
		m.counts = append(m.counts, int64(direction)*m.count)
	}
}
