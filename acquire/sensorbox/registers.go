package sensorbox

import (
	"math"
	"sync"

	"arctally/acquire/modbus"
	"arctally/acquire/series"
)

// LinkModbus is the block map of a Modbus slave; Play alone can speak it, for it is asked.
const LinkModbus = "modbus"

// ModbusUnit is the unit of the virtual box.
const ModbusUnit = 1

// The holding registers of the virtual box are a map such as transducers have: means
// over the last samples, as floats in both orders of the words.
const (
	HoldingHighFirst = 0  // voltage in V, current in A
	HoldingLowFirst  = 10 // the same, low word first
)

// registers keeps what the box says in the registers of a Modbus slave. Turn counts and
// all slow channels but the wire speed have no place there.
type registers struct {
	seed   uint64
	stepNs int64

	mu      sync.Mutex // guards what follows
	block   modbus.Block
	v, i    int64 // sums of codes since the boot
	vi      int64
	arcOn   int64   // samples in arc
	counts  float64 // of wire at the boot
	silent  bool
	written int
	after   int // answers since the plan is laid
	holding Memory
}

func (r *registers) boot(epoch int, fed float64) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.block = modbus.Block{Boot: bootID(r.seed, epoch), WireSpeed: float32(math.NaN())}
	r.v, r.i, r.vi, r.arcOn, r.counts = 0, 0, 0, 0, math.Floor(fed/wirePerCount)
	return nil
}

func (r *registers) hello(int64) error { return nil }

func (r *registers) lose(lost bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.silent = lost
}

func (r *registers) turns(_, _ []int64, _ bool) error { return nil }

func (r *registers) slow(_ int64, channel uint8, value float64) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if channel == wireSpeedChannel {
		r.block.WireSpeed = float32(value)
	}
	return nil
}

func (r *registers) samples(tick int64, v, i []int16, fed float64) error {
	r.mu.Lock()
	defer r.mu.Unlock()
	sumV, sumI := r.v, r.i
	for k := range v {
		r.v += int64(v[k])
		r.i += int64(i[k])
		r.vi += int64(v[k]) * int64(i[k])
		if float64(i[k])*currentScale >= arcOnCurrent {
			r.arcOn++
		}
	}
	const codesPerVolt, codesPerAmpere = 100, 10 // of voltageScale and currentScale
	us := r.stepNs / 1000
	b := &r.block
	b.Seq++
	b.TickUS = uint64((tick + int64(len(v))*r.stepNs) / 1000)
	b.Samples += uint32(len(v))
	b.Energy = uint64(r.vi * us / (codesPerVolt * codesPerAmpere * 1000))
	b.Voltage = uint64(r.v * us / codesPerVolt)
	b.Current = uint64(r.i * us / codesPerAmpere)
	b.ArcOn = uint32(r.arcOn * us / 1000)
	b.WireCount = uint32(math.Floor(fed/wirePerCount) - r.counts)
	n := float64(len(v))
	volts, amperes := float64(r.v-sumV)/n*voltageScale, float64(r.i-sumI)/n*currentScale
	b.Volts, b.Amperes = float32(volts), float32(amperes)
	r.hold(volts, amperes)
	r.written++
	return nil
}

// hold puts means into the holding registers.
func (r *registers) hold(volts, amperes float64) {
	r.holding = Memory{}
	for k, x := range []float64{volts, amperes} {
		first, second := Words(x, false)
		r.holding.Put(series.ReadHolding, uint16(HoldingHighFirst+2*k), first, second)
		r.holding.Put(series.ReadHolding, uint16(HoldingLowFirst+2*k), second, first)
	}
}

// image answers for the box.
func (r *registers) image(q modbus.Request) ([]uint16, modbus.Exception) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.after++
	if q.Function == series.ReadHolding {
		return r.holding.Image(q)
	}
	all := r.block.Registers()
	if int(q.Address)+int(q.Count) > len(all) {
		return nil, modbus.IllegalAddress
	}
	return all[q.Address : q.Address+q.Count], 0
}

// readOften reports whether the last state was read often enough to be believed.
func (r *registers) readOften() bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.after >= 3
}

// lost reports whether an answer would not arrive.
func (r *registers) lost(int) SlaveTrouble {
	r.mu.Lock()
	defer r.mu.Unlock()
	return SlaveTrouble{Silent: r.silent}
}
