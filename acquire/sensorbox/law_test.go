package sensorbox

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// atRest is an arc of 1.2 mm wire, 15 mm from the wall, with a source of 25 V and
// no feed. Its section is 1.1309734e-6 m^2, so that a metre has 0.56588422 ohm.
func atRest(c contact) *arc {
	a := newArc(lawOf(1.2e-3), rand.New(rand.NewPCG(3, 4)), 15e-3)
	a.line, a.sourceOn, a.contact = 25, true, c
	a.extension = 10e-3
	return a
}

func TestLawOf_goesWithTheSection(t *testing.T) {
	thick, thin := lawOf(1.2e-3), lawOf(0.6e-3)
	assert.InEpsilon(t, 1.1309734e-6, thick.area, 1e-7)
	assert.InEpsilon(t, 0.56588422, thick.ohmPerMetre, 1e-7)
	assert.InEpsilon(t, thick.area/4, thin.area, 1e-12)
	assert.InEpsilon(t, thick.ohmPerMetre*4, thin.ohmPerMetre, 1e-12)
	assert.InEpsilon(t, 4*0.296e-3, thin.meltAnode, 1e-12)
	assert.InEpsilon(t, 16*5e-5, thin.meltJoule, 1e-12)
	assert.InEpsilon(t, 273.0/8, thin.neckPinch, 1e-12)
	assert.InEpsilon(t, 0.2e-3, thin.smallDrop, 1e-12)
	assert.InEpsilon(t, 1.44e-3, thin.heavyDrop, 1e-12)
}

func TestNewArc_parksItsWire(t *testing.T) {
	a := newArc(lawOf(1.2e-3), nil, 15e-3)
	assert.InDelta(t, 2e-3, a.gap(), 1e-15)
	a.pool, a.dropSize = 0.3e-3, 0.5e-3
	assert.InDelta(t, 1.8e-3, a.gap(), 1e-15, "the pool gives way, the drop takes")
}

// By hand at 100 A: leads 100*(0.0234 + 0.01*0.56588422) = 2.90588422 V. The gap of
// 2 mm has a column of 650*2e-3 = 1.3 V:
//
//	shielded  14.78 + 1.3 + 0.2 + 0.7 = 16.98
//	half bare 0.5*(2 + 1*1.3 + 0.4) = 1.85 more
//	a neck    100*1.5e-3/(0.44 + 0.06) = 0.3
//	a bridge  0.15
func TestArc_voltageByHand(t *testing.T) {
	const leads = 2.90588422
	for _, c := range []struct {
		name    string
		contact contact
		change  func(*arc)
		want    float64
	}{
		{"arc", burning, func(*arc) {}, leads + 16.98},
		{"arc without gas", burning, func(a *arc) { a.gasless = 0.5 }, leads + 16.98 + 1.85},
		{"arc with no length", burning, func(a *arc) { a.pool = -6e-3 }, leads + 16.98 - 1.3},
		{"neck", draining, func(a *arc) { a.neck = 0.44 }, leads + 0.3},
		{"bridge", bridged, func(*arc) {}, leads + 0.15},
		{"cold wire", fusing, func(*arc) {}, leads + 0.15},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := atRest(c.contact)
			a.current, a.spike, a.wander, a.dropSize = 100, 0.7, 0.4, 3e-3
			c.change(a)
			a.electric()
			assert.InDelta(t, c.want, a.voltage, 1e-6)
			assert.Equal(t, 100.0, a.through, "of the same instant")
			// The line of 25 V less 6.53 V drives the rest through 153 uH for 10 us.
			assert.InDelta(t, 100+(25-6.53-c.want)/15.3, a.current, 1e-6)
		})
	}
}

func TestArc_currentByHand(t *testing.T) {
	for _, c := range []struct {
		name              string
		current, line     float64
		on                bool
		wantDrive, volted float64
	}{
		// At 20 A: 25 - 1.306 and the knee (80-25)*exp(-5) = 0.37058711.
		{"below the knee", 20, 25, true, 25 - 1.306 + 0.37058711, 0},
		{"at ten times the knee the line alone", 40, 25, true, 25 - 2.612, 0},
		{"switched off", 100, 25, false, 0, 0},
	} {
		a := atRest(bridged)
		a.current, a.line, a.sourceOn = c.current, c.line, c.on
		a.electric()
		assert.InDelta(t, c.current+(c.wantDrive-a.voltage)/15.3, a.current, 1e-8, c.name)
	}
	a := atRest(burning)
	a.current, a.sourceOn = 0.5, false
	a.electric()
	assert.Zero(t, a.current, "it does not turn round")
	for on, want := range map[bool]float64{false: 0, true: 80} {
		a = atRest(open)
		a.current, a.through, a.sourceOn = 5, 5, on
		a.electric()
		assert.Equal(t, [3]float64{want, 0, 0}, [3]float64{a.voltage, a.current, a.through})
	}
}

// At 200 A and 10 mm the Joule heat melts 5e-5*0.01*40000 = 0.02 m/s, the anode
// 0.296e-3*200 = 0.0592 m/s; in 10 us and with a feed of 0.1 m/s that is short of
// the target by 0.02/800:
//
//	feed 0.1 + 0.02*1.25e-3 = 0.100025 m/s
//	arc  (0.100025 - 0.0792)*1e-5 = 0.20825e-6 m longer
//	short (0.100025 - 0.02)*1e-5 = 0.80025e-6 m longer
//
// The pool is driven by 13e-9*40000 = 0.52 mm, at w = 2*pi*97: from 0.2 mm and 0.1
// m/s it gets (w^2*0.32e-3 - 0.62*w*0.1)*1e-5 = 8.09997e-4 m/s.
func TestArc_meltingByHand(t *testing.T) {
	for _, c := range []struct {
		contact           contact
		longer, melted    float64
		pressure, wantPop float64
	}{
		{burning, 0.20825e-6, 0.792e-6, 0.52e-3, 0},
		{bridged, 0.80025e-6, 0.2e-6, 0, 0},
	} {
		a := atRest(c.contact)
		a.current, a.feed, a.feedTarget, a.pool, a.poolSpeed, a.drop = 200, 0.1, 0.12, 0.2e-3, 0.1, 1e-12
		a.mechanic()
		assert.InDelta(t, 0.100025, a.feed, 1e-12)
		assert.InDelta(t, c.longer, a.extension-10e-3, 1e-15)
		assert.InDelta(t, 1.00025e-6, a.fed, 1e-15)
		assert.InDelta(t, c.melted, a.melted, 1e-15)
		assert.InDelta(t, 1e-12+c.melted*1.1309734e-6, a.drop, 1e-19, "what melts hangs on the wire")
		w := 2 * math.Pi * 97
		speed := 0.1 + (w*w*(c.pressure-0.2e-3)-0.62*w*0.1)*1e-5
		assert.InDelta(t, speed, a.poolSpeed, 1e-12)
		assert.InDelta(t, 0.2e-3+speed*1e-5, a.pool, 1e-15)
	}
	a := atRest(burning)
	a.feedTarget = 0.08
	a.mechanic()
	assert.Zero(t, a.melted, "nothing melts without current")
	assert.Zero(t, a.drop)
	assert.InDelta(t, 0.08*1.25e-3, a.feed, 1e-15)
}

// A ball of 1 mm has pi/6 mm^3. Below a third of the wire the root is taken, above
// it the derivative 2/(pi*d^2).
func TestArc_dropGrows(t *testing.T) {
	const mm3 = 1e-9
	assert.InEpsilon(t, 1e-3, sphere(math.Pi/6*mm3), 1e-12)
	a := atRest(burning)
	a.grow(0.001 * mm3)
	assert.InEpsilon(t, sphere(0.001*mm3), a.dropSize, 1e-12)
	a.drop, a.dropSize = math.Pi/6*mm3, 1e-3
	a.grow(0.002 * mm3)
	assert.InEpsilon(t, 1e-3+0.002*mm3*2/math.Pi/1e-6, a.dropSize, 1e-9)
	assert.InEpsilon(t, (math.Pi/6+0.002)*mm3, a.drop, 1e-12)
	a.dropSize = a.law.smallDrop // 0.4 mm, a third of the wire: no longer small
	a.grow(0.002 * mm3)
	assert.InEpsilon(t, 0.4e-3+0.002*mm3*2/math.Pi/0.16e-6, a.dropSize, 1e-9)
}

// What stays of a drop on the wire, and how hard the pool is kicked, lie evenly
// between their ends.
func TestArc_scatter(t *testing.T) {
	a := atRest(burning)
	const n = 20_000
	var left, kick float64
	lowLeft, highLeft, lowKick, highKick := 1.0, 0.0, math.Inf(1), 0.0
	for range n {
		a.drop = 1e-9
		a.shed()
		share, k := a.drop/1e-9, a.kick(0.3)
		left, kick = left+share/n, kick+k/n
		lowLeft, highLeft = min(lowLeft, share), max(highLeft, share)
		lowKick, highKick = min(lowKick, k), max(highKick, k)
		require.InEpsilon(t, sphere(a.drop), a.dropSize, 1e-12)
	}
	assert.InDelta(t, 0.055, lowLeft, 1e-3)
	assert.InDelta(t, 0.31, highLeft, 1e-3)
	assert.InDelta(t, (0.055+0.31)/2, left, 2e-3)
	assert.InDelta(t, 0.15, lowKick, 1e-3)
	assert.InDelta(t, 0.45, highKick, 1e-3)
	assert.InDelta(t, 0.3, kick, 2e-3)
}

// step alone moves the contact; what it starts from is set just before.
func TestArc_contacts(t *testing.T) {
	for _, c := range []struct {
		name   string
		from   contact
		set    func(*arc)
		do     func(*arc)
		want   contact
		strike bool
	}{
		{"wire before the wall", open, func(a *arc) { a.extension = 14.9e-3 }, (*arc).stepOpen, open, false},
		{"wire touches", open, func(a *arc) { a.extension, a.fuse = 15e-3, 9 }, (*arc).stepOpen, fusing, false},
		{"cold wire holds", fusing, func(a *arc) { a.fuse, a.current = 4-1e-5, 1 }, (*arc).stepFusing, fusing, false},
		{"cold wire burns off", fusing, func(a *arc) { a.fuse, a.current = 4-1e-6, 1 }, (*arc).stepFusing, burning, true},
		{"arc starves", burning, func(a *arc) { a.current = 8 }, (*arc).stepBurning, open, false},
		{"arc just lives", burning, func(a *arc) { a.current = 8.001 }, (*arc).stepBurning, burning, false},
		{"drop touches", burning, func(a *arc) { a.current, a.extension, a.rest = 100, 15e-3, 120e-6 }, (*arc).stepBurning, bridged, false},
		{"a new arc cannot be touched out", burning, func(a *arc) { a.current, a.extension, a.rest = 100, 15e-3, 109e-6 }, (*arc).stepBurning, burning, false},
		{"a drop in the air", burning, func(a *arc) { a.current, a.extension, a.rest = 100, 14.9e-3, 1 }, (*arc).stepBurning, burning, false},
		{"bridge is blown", bridged, func(a *arc) { a.bridge, a.current, a.dropSize = 20e-6, 400, 1e-3 }, (*arc).stepBridged, burning, true},
		{"bridge holds", bridged, func(a *arc) { a.bridge, a.current, a.dropSize = 20e-6, 20, 1e-3 }, (*arc).stepBridged, bridged, false},
		{"bridge is wide", bridged, func(a *arc) { a.bridge, a.dropSize = bridgeFull*0.5e-3-9e-6, 1e-3 }, (*arc).stepBridged, draining, false},
		{"bridge is nearly wide", bridged, func(a *arc) { a.bridge, a.dropSize = bridgeFull*0.5e-3-11e-6, 1e-3 }, (*arc).stepBridged, bridged, false},
		{"neck holds", draining, func(a *arc) { a.neck = 1 }, (*arc).stepDraining, draining, false},
		{"neck breaks", draining, func(a *arc) { a.neck = 0.001 }, (*arc).stepDraining, burning, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := atRest(c.from)
			a.spike, a.rest = 0.5, 9
			c.set(a)
			shorts := a.shorts
			c.do(a)
			assert.Equal(t, c.want, a.contact)
			assert.Equal(t, c.want == bridged && c.from == burning, a.shorts == shorts+1)
			if c.strike {
				assert.Equal(t, [2]float64{spikeVoltage, 0}, [2]float64{a.spike, a.rest})
			}
			switch {
			case c.want == fusing && c.from == open:
				assert.Zero(t, a.fuse)
			case c.want == open:
				assert.Zero(t, a.current)
			case c.want == draining && c.from == bridged:
				assert.Equal(t, 1.0, a.neck)
			}
		})
	}
}

// In 10 us: a bridge of 50 um at 100 A grows by (1 - 5.55e-9*1e4/50e-6)*1e-5 < 0; a
// neck at 300 A loses (200 + 9e4/273)*1e-5 = 5.2967e-3, of solid wire a tenth; a
// spike 1/15; the cold wire takes I^2*dt.
func TestArc_ratesByHand(t *testing.T) {
	a := atRest(bridged)
	a.bridge, a.current, a.dropSize = 50e-6, 100, 1e-3
	a.stepBridged()
	assert.InDelta(t, 50e-6+(1-5.55e-9*1e4/50e-6)*1e-5, a.bridge, 1e-14)
	for stubbing, want := range map[float64]float64{1: 5.2967033e-3, 10: 5.2967033e-4} {
		a = atRest(draining)
		a.neck, a.current, a.stubbing = 1, 300, stubbing
		a.stepDraining()
		assert.InDelta(t, want, 1-a.neck, 1e-9)
	}
	a = atRest(burning)
	a.spike, a.current, a.rest = 3, 100, 1e-3
	a.stepBurning()
	assert.InDelta(t, 2.8, a.spike, 1e-12)
	assert.InDelta(t, 1.01e-3, a.rest, 1e-15)
	a = atRest(fusing)
	a.fuse, a.current = 1, 200
	a.stepFusing()
	assert.InDelta(t, 1.4, a.fuse, 1e-12)
}

// A bare arc wanders about nothing with 2.5 V rms and forgets in 4 ms.
func TestArc_wandersWithoutGas(t *testing.T) {
	a := atRest(burning)
	a.current = 100
	a.stepBurning()
	assert.Zero(t, a.wander, "with gas it does not")
	a.gasless, a.wander = 1, 0
	const n = 1_000_000
	var mean, square, product, before float64
	const later = 400 // steps: a time of 4 ms
	past := make([]float64, 0, n)
	for k := range n {
		a.current = 100
		a.stepBurning()
		mean += a.wander / n
		square += a.wander * a.wander / n
		past = append(past, a.wander)
		if k >= later {
			before = past[k-later]
			product += a.wander * before / (n - later)
		}
	}
	assert.InDelta(t, 0, mean, 0.3)
	assert.InEpsilon(t, 2.5, math.Sqrt(square), 0.1)
	assert.InDelta(t, math.Exp(-1), product/square, 0.08)
}

// A drop that is too heavy falls, a wire that is parked keeps its distance, a wire
// that was pushed below the surface dissolves.
func TestArc_whatGoesFromTheWire(t *testing.T) {
	a := atRest(burning)
	a.current, a.drop = 100, 1e-9
	a.dropSize = a.law.heavyDrop
	a.stepBurning()
	assert.Equal(t, 1e-9, a.drop, "as heavy as it may be")
	a.dropSize += 1e-9
	a.stepBurning()
	assert.Less(t, a.drop, 0.311e-9)

	a = atRest(open)
	a.sourceOn, a.extension = false, 15.2e-3
	a.stepOpen()
	assert.InDelta(t, parkedGap, a.gap(), 1e-15)
	assert.Equal(t, open, a.contact)

	a = atRest(draining)
	a.neck, a.drop, a.melted = 0, 0, 1e-3
	a.extension = 15.5e-3
	a.stepDraining()
	assert.InDelta(t, 15e-3, a.extension, 1e-12)
	assert.InDelta(t, 1.5e-3, a.melted, 1e-12)
	a = atRest(draining)
	a.neck, a.drop, a.melted = 0, 0, 1e-3
	a.stepDraining()
	assert.Equal(t, [2]float64{10e-3, 1e-3}, [2]float64{a.extension, a.melted}, "it is above")
}

// A transfer kicks the pool away by 0.3 m/s and a blown bridge by 0.234 m/s, half
// of it more or less; a first contact is no wider than 0.63 of the drop's radius.
func TestArc_kicksThePool(t *testing.T) {
	for seed := range uint64(200) {
		a := atRest(draining)
		a.rng = rand.New(rand.NewPCG(seed, 1))
		a.poolSpeed = 1
		a.stepDraining()
		assert.InDelta(t, 1.3, a.poolSpeed, 0.15+1e-9)
		a.contact, a.poolSpeed, a.bridge, a.current = bridged, 1, 0, 100
		a.stepBridged()
		assert.InDelta(t, 1.234, a.poolSpeed, 0.117+1e-9)
		a.contact, a.current, a.dropSize, a.drop, a.extension, a.rest = burning, 100, 1e-3, 1e-9, 15e-3, 1
		a.stepBurning()
		require.Equal(t, bridged, a.contact)
		assert.LessOrEqual(t, a.bridge, 0.63*0.5e-3)
		assert.GreaterOrEqual(t, a.bridge, 0.0)
	}
}

// What burns when the source goes off ends with its last current.
func TestArc_endsWithTheSource(t *testing.T) {
	for _, c := range []struct {
		contact contact
		current float64
		on      bool
		want    contact
	}{
		{bridged, 7, false, open}, {draining, 7, false, open}, {fusing, 7, false, open},
		{bridged, 7, true, bridged}, {bridged, 90, false, bridged},
	} {
		a := atRest(c.contact)
		a.current, a.sourceOn, a.neck, a.bridge, a.dropSize = c.current, c.on, 1, 50e-6, 1e-3
		a.step()
		assert.Equal(t, c.want, a.contact, "%+v", c)
	}
}
