package sensorbox

// The figures of the model. "Fitted" is our own fit to the statistics of two
// recorded runs of a short-circuiting arc, 18.9 V and 195 A, that stand in
// testdata/standards/short-circuit-arc.tsv; such a figure has no other source and
// claims nothing beyond those statistics. "Fitted form" means that the term too is
// ours. "Textbook form" means that the law is common knowledge, its figure fitted
// all the same. "Chosen" is a property of this box, true by construction.

// Time.
const (
	stepTime    = 10e-6 // s, chosen: the current's fastest change, 0.5 A/us, is 5 A a step
	stepNs      = 10_000
	controlTime = 1e-3 // s, chosen: the torch turns 0.0075 degrees in it
)

// Power source.
const (
	noLoadVoltage  = 80.0   // V, recorded: SA-10
	kneeCurrent    = 4.0    // A, fitted form: where the no-load voltage gives way to the line
	sourceSlope    = 0.0653 // ohm, fitted to the ratio of true power to mean V times mean I, 0.976
	sourceInductor = 153e-6 // H, fitted to the rms current over the mean current, 1.016
)

// Circuit between sensor and arc.
const (
	leadResistance = 0.0234  // ohm, fitted to 8.6 V mean in the short: leads, contact tip, work clamp
	hotResistivity = 0.64e-6 // ohm*m, as b*A^2*h with meltJoule and h = 1e10 J/m^3 to melt and overheat steel, from memory
	neckResistance = 1.5e-3  // ohm at n = 1, fitted form: rises as 1/(n + neckFloor)
	neckFloor      = 0.06    // ratio, fitted form
)

// Arc column.
const (
	fallVoltage       = 14.78  // V, anode and cathode, fitted to 21.1 V mean in the arc
	columnField       = 0.65e3 // V/m, fitted; textbook order 1 V/mm
	columnResistance  = 2e-3   // ohm, fitted form
	spikeVoltage      = 4.3    // V, fitted form: metal vapour and a cold cathode just after re-ignition
	spikeTime         = 150e-6 // s, fitted form
	bareFall          = 2.0    // V, fitted form: what the fall gains without gas
	bareField         = 1.0    // ratio, the same for the column's field
	bareWander        = 2.5    // V, the same: rms by which a bare arc's voltage wanders
	bareWanderTime    = 4e-3   // s, the same
	extinctionCurrent = 8.0    // A, fitted form: below it the arc goes out
)

// Melting, for a wire of meltReference diameter; other wires by section.
const (
	meltReference = 1.2e-3   // m, chosen
	meltAnode     = 0.296e-3 // m/(A*s), textbook form m = a*I + b*L*I^2 (check value WD-17); fitted to the demo set-points
	meltJoule     = 5.0e-5   // 1/(A^2*s), the same form; figure from memory
)

// Drop, bridge and neck; for a wire of meltReference diameter.
const (
	bridgeStart  = 0.63    // ratio of the drop's radius, fitted: the widest first contact
	bridgeGrowth = 1.0     // m/s, fitted form: coalescence
	bridgePinch  = 5.55e-9 // m^2/(s*A^2), fitted to the share of shorts below 1 ms
	bridgeFull   = 0.7     // ratio of the drop's radius, fitted form: then it drains
	bridgeBroken = 10e-6   // m, chosen: a thinner bridge is none
	neckTime     = 5.0e-3  // s, fitted form: surface tension alone
	neckPinch    = 273.0   // A^2*s, fitted to the time in the short
	fuseCharge   = 4.0     // A^2*s, fitted form: a cold tip's first touch burns off
)

// Pool.
const (
	poolFrequency = 97.0   // Hz, fitted to the shorts a second
	poolDamping   = 0.31   // ratio, fitted
	poolPressure  = 13e-9  // m/A^2, fitted form: depression under the arc
	poolKick      = 0.30   // m/s, fitted: at the end of a transfer
	poolPop       = 0.234  // m/s, fitted: at the end of a blown bridge
	kickSpread    = 0.5    // ratio, fitted: half width of the kick's scatter
	dropLeftLow   = 0.055  // ratio, fitted: of the drop that stays on the wire
	dropLeftHigh  = 0.31   // ratio, the same
	heavyDrop     = 2.4    // wire diameters, fitted form: a drop that has not touched falls off by its weight
	touchRest     = 120e-6 // s, fitted form: before that a new arc cannot be touched out
)

// Feeder.
const (
	feedTime     = 8e-3  // s, chosen: motor and brake
	burnBackTime = 30e-3 // s, chosen: source on after the feed has stopped
	parkedGap    = 1e-3  // m, chosen: least distance of a cold wire from the wall
)

// What the box measures with.
const (
	voltageScale  = 10e-3  // V per code, chosen
	currentScale  = 0.1    // A per code, chosen
	countsPerTurn = 360    // chosen: one count a degree; any Plan may have others
	wirePerCount  = 0.1e-3 // m, chosen
)

// Indexes of the slow channels in Plan.Source.
const (
	wireSpeedChannel   = 2
	gasFlowChannel     = 3
	temperatureChannel = 4
)

// Habits of the machine and the box, all chosen.
const (
	standoffBase      = 3e-3          // m: contact tip to wall is ten wire diameters and this
	coldShare         = 4             // of the rotation speed: how fast the torch turns without arc
	leastInterruption = 15            // s: what is shorter is an arc out
	preFlow           = 0.5           // s of gas before the arc
	depositShare      = 0.95          // of the wire that becomes bead; check value WD-15, design value
	helloEvery        = 5_000_000_000 // ns, sensor-link.md
	pulseEvery        = 0.05          // s between TURN frames while turning
	angleEvery        = 100_000_000   // ns between two angles of the truth while turning
	wireEvery         = 50_000_000    // ns
	gasEvery          = 100_000_000   // ns
	temperatureEvery  = 500_000_000   // ns
	gasTime           = 30e-3         // s, of the flow sensor
	ambient           = 20.0          // degC
	bossHeat          = 30e3          // J/K, of the steel around the bore
	bossTime          = 1800.0        // s, in which it cools
	heatShare         = 0.8           // of the arc's energy that stays in it: k of EN 1011-1 for MAG
	voltageNoise      = 0.8           // codes, half width of the converter's last digits
	currentNoise      = 0.8           // codes, the same
	maxVoltage        = 320.0         // V, end stop of the codes
)

// What the slow links condense, all chosen.
const (
	windowTime   = 20e-3 // s of samples in a window of sums, or a line
	arcOnCurrent = 15.0  // A, from which the box counts a sample as in arc
)
