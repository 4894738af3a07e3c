// Package sensorbox is a virtual sensor box: it lays a whole repair with a
// physical model of a short-circuiting gas-metal arc, says what a real box
// would say of it over one of the open links, and knows the truth behind it.
//
// It stands in for hardware in the demo and in tests, so the signal has to be
// right for the right reason: nothing in it is noise around a mean. Randomness
// is left where nature has it, in how a drop touches the pool, how much of it
// stays on the wire, how hard the pool is kicked, and in the last digit of the
// converter; one seed gives one signal.
//
// # The arc
//
// A constant-voltage source with a falling characteristic and an inductance
// drives the current through leads, wire extension and gap:
//
//	Ls * dI/dt = U(I) - Rs*I - v
//	U(I) = U0 + (Uopen - U0)*exp(-I/Ik)
//
// with the current I in A, the source's inductance Ls in H, its slope Rs in ohm,
// its line U0, its no-load voltage Uopen and the knee Ik between the two in V, V
// and A, and v the voltage in V where the box measures, leads included:
//
//	v = (Rlead + rho*L/A)*I + vgap
//
// with the wire extension L in m, its section A in m^2 and its mean resistivity
// rho in ohm*m. In the arc the gap voltage is
//
//	vgap = Ufall + E*l + Rcol*I + s
//
// with the fall at anode and cathode Ufall in V, the column's field E in V/m,
// the arc length l in m, the column's resistance Rcol in ohm and the spike s in V
// that follows a re-ignition and dies away. The wire melts at the speed m in m/s
//
//	m = a*I + b*L*I^2    while the arc burns
//	m = b*L*I^2          in a short, where no anode heats the tip
//
// and dL/dt is the feed less m. What melts hangs on the wire as a drop; the arc
// length is what stand-off, wire, drop and the swinging pool leave. When the drop
// touches the pool, a bridge of the radius r in m decides what follows:
//
//	dr/dt = G - P*I^2/r
//
// with the growth G in m/s by coalescence and the pinch P in m^2/(s*A^2). A narrow
// bridge is blown apart by its own current: a short of some 0.1 ms. A wide one
// grows, the drop drains into the pool, and a neck n from 1 to 0 is cut:
//
//	dn/dt = -(1/T + I^2/Q)
//
// with the time T in s of surface tension alone and the pinch constant Q in A^2*s.
// Then the arc strikes again and kicks the pool. Over any longer time dI/dt has no
// mean, so that the mean of v is U0 - Rs times the mean of I, while the feed
// decides what current is needed to melt it: the arc regulates itself.
// constants.go has every figure and where it comes from: most are fitted to the
// statistics of recorded arcs.
//
// # Place and time
//
// The torch stands at start angle plus the angle turned, in degrees from the
// reference mark, clockwise seen from the torch side; the depth of a helix begins
// at 0 and grows by the pitch with every turn, gaps included. Before the first strike
// and in the pauses it may be jogged, with its counter and without arc. A Moment is a tick
// in ns on the box's clock and the epoch it belongs to; a reboot begins the next.
//
// # Truth
//
// The truth is integrated at the model's own step, ten times finer than a 10 kHz
// sample. An arc interval runs from the first burning of the arc after the touch
// to the last current; a short inside it is arc on; an arc-out shorter than
// Plan.Hold does not end it, but is not arc time.
//
// Errors: New refuses a plan that cannot be laid with a *PlanError that names the
// field. Play and Write return the writer's error, or that of the context.
package sensorbox
