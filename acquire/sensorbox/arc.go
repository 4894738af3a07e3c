package sensorbox

import (
	"math"
	"math/rand/v2"
)

// contact is what stands between wire and pool.
type contact uint8

const (
	open     contact = iota // nothing: no current
	fusing                  // a cold wire touches and burns off
	burning                 // the arc
	bridged                 // the first bridge of a drop
	draining                // the drop runs into the pool, a neck thins
)

// wireLaw holds the figures that depend on the wire's diameter.
type wireLaw struct {
	area, ohmPerMetre    float64
	meltAnode, meltJoule float64
	neckPinch            float64
	smallDrop, heavyDrop float64 // diameters: below one the root is taken, above the other it falls
}

func lawOf(diameter float64) wireLaw {
	r := diameter / meltReference
	area := math.Pi / 4 * diameter * diameter
	return wireLaw{
		area: area, ohmPerMetre: hotResistivity / area,
		// One ampere brings one share of heat to the tip, whatever the wire: the
		// melted length goes with 1/area, and the Joule heat of a metre as well.
		meltAnode: meltAnode / (r * r), meltJoule: meltJoule / (r * r * r * r),
		neckPinch: neckPinch * r * r * r,
		smallDrop: diameter / 3, heavyDrop: heavyDrop * diameter,
	}
}

// arc is the wire's tip, the gap and the source; SI units throughout.
type arc struct {
	law wireLaw
	rng *rand.Rand

	// Set from outside.
	sourceOn   bool
	line       float64 // U0
	feedTarget float64
	standoff   float64
	stubbing   float64 // how many times longer a neck of solid wire holds; 1 is a liquid one
	gasless    float64 // 0 shielded .. 1 bare

	// State.
	contact   contact
	current   float64
	voltage   float64 // where the box measures, with the current through at the same instant
	through   float64
	feed      float64
	extension float64
	drop      float64 // volume
	dropSize  float64 // diameter of the drop
	pool      float64 // surface, positive away from the torch
	poolSpeed float64
	spike     float64
	bridge    float64
	neck      float64
	fuse      float64
	rest      float64 // since the last re-ignition
	wander    float64 // of a bare arc

	fed, melted float64 // lengths of wire since the start
	shorts      int
}

func newArc(law wireLaw, rng *rand.Rand, standoff float64) *arc {
	return &arc{law: law, rng: rng, standoff: standoff, stubbing: 1, extension: standoff - 2*parkedGap}
}

func (a *arc) gap() float64 { return a.standoff + a.pool - a.extension - a.dropSize }

// step moves everything on by stepTime.
func (a *arc) step() {
	a.electric()
	a.mechanic()
	if a.contact != burning && !a.sourceOn && a.current <= extinctionCurrent {
		a.contact, a.current = open, 0
	}
	switch a.contact {
	case open:
		a.stepOpen()
	case fusing:
		a.stepFusing()
	case burning:
		a.stepBurning()
	case bridged:
		a.stepBridged()
	case draining:
		a.stepDraining()
	}
}

func (a *arc) electric() {
	a.through = a.current
	if a.contact == open {
		a.current, a.through, a.voltage = 0, 0, 0
		if a.sourceOn {
			a.voltage = noLoadVoltage
		}
		return
	}
	a.voltage = a.current*(leadResistance+a.extension*a.law.ohmPerMetre) + a.gapVoltage()
	drive := 0.0
	if a.sourceOn {
		drive = a.line - sourceSlope*a.current
		if a.current < 10*kneeCurrent {
			drive += (noLoadVoltage - a.line) * math.Exp(-a.current/kneeCurrent)
		}
	}
	a.current += (drive - a.voltage) * (stepTime / sourceInductor)
	if a.current < 0 {
		a.current = 0
	}
}

func (a *arc) gapVoltage() float64 {
	switch a.contact {
	case burning:
		column := columnField * max(a.gap(), 0)
		return fallVoltage + column + columnResistance*a.current + a.spike + a.gasless*(bareFall+bareField*column+a.wander)
	case draining:
		return a.current * neckResistance / (a.neck + neckFloor)
	default:
		return a.current * neckResistance
	}
}

func (a *arc) mechanic() {
	a.feed += (a.feedTarget - a.feed) * (stepTime / feedTime)
	melt := 0.0
	force := 0.0
	if a.current > 0 {
		melt = a.law.meltJoule * a.extension * a.current * a.current
		if a.contact == burning {
			melt += a.law.meltAnode * a.current
			force = poolPressure * a.current * a.current
		}
	}
	a.extension += (a.feed - melt) * stepTime
	a.fed += a.feed * stepTime
	a.melted += melt * stepTime
	if melt > 0 {
		a.grow(melt * stepTime * a.law.area)
	}
	const w = 2 * math.Pi * poolFrequency
	a.poolSpeed += (w*w*(force-a.pool) - 2*poolDamping*w*a.poolSpeed) * stepTime
	a.pool += a.poolSpeed * stepTime
}

// grow adds melted wire to the drop; its diameter follows by the derivative of
// the sphere's, which is as good as the root and costs a fifth of it.
func (a *arc) grow(volume float64) {
	a.drop += volume
	if a.dropSize < a.law.smallDrop {
		a.dropSize = sphere(a.drop)
		return
	}
	a.dropSize += volume * (2 / math.Pi) / (a.dropSize * a.dropSize)
}

// shed leaves a part of the drop on the wire.
func (a *arc) shed() {
	a.drop *= dropLeftLow + (dropLeftHigh-dropLeftLow)*a.rng.Float64()
	a.dropSize = sphere(a.drop)
}

// sphere returns the diameter of a ball of the volume.
func sphere(volume float64) float64 { return math.Cbrt(volume * (6 / math.Pi)) }

func (a *arc) stepOpen() {
	if a.gap() > 0 {
		return
	}
	if !a.sourceOn {
		a.extension += a.gap() - parkedGap
		return
	}
	a.contact, a.fuse = fusing, 0
}

func (a *arc) stepFusing() {
	a.fuse += a.current * a.current * stepTime
	if a.fuse > fuseCharge {
		a.strike()
	}
}

func (a *arc) stepBurning() {
	if a.gasless > 0 {
		const share = stepTime / bareWanderTime
		a.wander += -a.wander*share + bareWander*math.Sqrt(2*share)*a.rng.NormFloat64()
	}
	a.spike -= a.spike * (stepTime / spikeTime)
	a.rest += stepTime
	if a.current <= extinctionCurrent {
		a.contact, a.current = open, 0
		return
	}
	if a.dropSize > a.law.heavyDrop {
		a.shed()
	}
	if a.gap() > 0 || a.rest < touchRest {
		return
	}
	a.shorts++
	a.contact = bridged
	a.bridge = a.rng.Float64() * bridgeStart * a.dropSize / 2
}

func (a *arc) stepBridged() {
	a.bridge += (bridgeGrowth - bridgePinch*a.current*a.current/max(a.bridge, bridgeBroken)) * stepTime
	switch {
	case a.bridge < bridgeBroken:
		a.poolSpeed += a.kick(poolPop)
		a.strike()
	case a.bridge > bridgeFull*a.dropSize/2:
		a.contact, a.neck = draining, 1
	}
}

func (a *arc) stepDraining() {
	a.neck -= (1/neckTime + a.current*a.current/a.law.neckPinch) / a.stubbing * stepTime
	if a.neck > 0 {
		return
	}
	a.shed()
	if g := a.gap(); g < 0 {
		// Wire that was pushed below the surface dissolves in the pool.
		a.extension += g
		a.melted -= g
	}
	a.poolSpeed += a.kick(poolKick)
	a.strike()
}

func (a *arc) kick(mean float64) float64 {
	return mean * (1 + kickSpread*(2*a.rng.Float64()-1))
}

func (a *arc) strike() {
	a.contact, a.spike, a.rest = burning, spikeVoltage, 0
}
