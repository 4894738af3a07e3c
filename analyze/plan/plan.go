// Package plan knows how a bore is to be welded up before an arc burns: layer by
// layer the diameter, the rotation that keeps the travel inside its window while
// the bore closes, the time, the metal and the heat. It is computed from the
// job's diameters, deposit and set-points and from the procedure; where a
// set-point is not declared, the middle of the procedure's window stands in, and
// a warning says so. All of it is guidance: the qualified procedure rules.
//
// Formulas. D is the diameter being welded, v the travel, p the pitch, N the
// turns of a layer, g the share of a turn that is no gap, U, I, WFS the
// set-points, eff the deposition efficiency:
//
//	n = v/(pi*D)                                rotation of the layer
//	s = g*N*sqrt((pi*D)^2 + p^2)                bead of the layer (helix)
//	s = g*N*pi*D                                bead of the layer (other patterns)
//	arc time = s/v
//	A = eff*(pi/4*d^2)*WFS/v                    cross-section of the bead
//	D of the next layer = D - 2*t               t from A, p and D: see bore.LayerThickness
//	E = U*I/v,  Q = k*E                         expected arc energy and heat input
//	wire = WFS*(arc time),  deposit = eff*wire,  gas = flow*(arc time)
//
// All are geometry, conservation of volume, and the definitions of the rooms
// bore, heat and thermal, which name their sources.
//
// Terms. The allowance is the stock that is left to machine, on a side: half of
// the finish diameter less the diameter of the welded bore. The wall temperature
// is what the wall has before each layer. A sliver is what is missing to the
// diameter where a whole layer more is not worth it; a way is a change of one
// set-point that closes it with the layers that there are.
//
// Errors: what the job must declare and does not is a *MissingError; a straight
// bead is ErrStraight; a bead that fills the bore is a *bore.FilledError; a bore
// that does not close is a *TooManyLayersError; an analysis that no steel has is the
// error of the room thermal. A formula that does not hold for
// the job leaves its figure out, and is a warning.
package plan

import (
	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/procedure"
	"arctally/analyze/thermal"
)

// Options are what the person who plans decides. The zero value decides nothing.
type Options struct {
	// Wall is the temperature of the wall before each layer, where it is known
	// better than from the preheat formula.
	Wall *quantity.Celsius
	// LeastAllowance is the stock on a side that machining needs; 0 is
	// UsualAllowance.
	LeastAllowance quantity.Metres
	// BeadWidth is the width of a bead laid with these set-points, as measured on
	// a test piece; 0 is not measured.
	BeadWidth quantity.Metres
}

// UsualAllowance is 1.5 mm of stock on a side, what shops leave at least to clean
// up a welded bore. Source: common practice. Standing: memory.
const UsualAllowance quantity.Metres = 0.0015

// Plan is one job, computed ahead. A pointer is nil where the figure is not known.
type Plan struct {
	Settings Settings
	Layers   []Layer

	Wire        quantity.Metres
	WireMass    quantity.Kilograms
	Deposit     quantity.Kilograms
	Gas         *quantity.CubicMetres
	ArcTime     quantity.Seconds
	Elapsed     quantity.Seconds // turning time of all layers; pauses between them not counted
	WeldTo      quantity.Metres  // the diameter to be reached
	Final       quantity.Metres  // the diameter after the last layer
	Allowance   *quantity.Metres // finish less final, on a side; below zero it will not clean up
	Bead        Bead
	Carbon      *thermal.CarbonEquivalents
	Preheat     *quantity.Celsius // by method B; nil where it is not known, or none is asked for
	NoPreheat   bool              // by method B none is asked for
	PreheatZone quantity.Metres   // how far around the weld it holds; 0 without a thickness
	Wall        quantity.Celsius
	WallRestsOn string // what the wall temperature was taken from
	Interpass   *quantity.Celsius
	Steady      *Steady // nil where no rotation is declared
	Short       *Short  // nil where the layers reach the diameter to be welded to
	Warnings    []Warning
}

// Layer is one layer of the plan.
type Layer struct {
	Number          int
	Diameter, After quantity.Metres // before the layer, and after it
	Thickness       quantity.Metres
	BeadArea        quantity.SquareMetres
	Rotation        quantity.TurnsPerSecond
	// Window is the rotation that keeps the travel inside the procedure's window.
	Window    quantity.Range[quantity.TurnsPerSecond]
	Travel    quantity.MetresPerSecond
	Turns     float64         // of a segment: its strokes
	Path      quantity.Metres // of bead
	ArcTime   quantity.Seconds
	Elapsed   quantity.Seconds
	ArcEnergy *quantity.JoulesPerMetre
	HeatInput *quantity.JoulesPerMetre // with the k of the process
	Cooling   *thermal.Cooling         // from the wall temperature
	// Warmest is the cooling from the highest interpass temperature.
	Warmest *thermal.Cooling
}

// Bead is how beads lie side by side.
type Bead struct {
	Width    quantity.Metres
	Measured bool // else from the area, with a usual shape
	Overlap  quantity.Ratio
	// Widest is the pitch at which the valley between two beads is just filled.
	WidestPitch quantity.Metres
}

// Steady is what becomes of the layers if the machine keeps the declared
// rotation while the bore closes.
type Steady struct {
	Rotation                quantity.TurnsPerSecond
	Layers                  int
	FirstTravel, LastTravel quantity.MetresPerSecond
	Rise                    quantity.Ratio  // of the heat input, from the first layer to the last
	Final                   quantity.Metres // the diameter after the last of them
}

// Warning is a doubt about the plan.
type Warning struct {
	Kind  string
	Layer int // 0: of the whole plan
	Text  string
}

// mostLayers ends a plan that does not come to an end: no bore is built up by so many.
const mostLayers = 100

// planner holds what all layers of a job share.
type planner struct {
	job     *procedure.Job
	options Options
	plan    *Plan
}

// Make plans a job.
func Make(job *procedure.Job, o Options) (*Plan, error) {
	if job.Deposit.Pattern == bore.Straight {
		return nil, ErrStraight
	}
	if o.LeastAllowance <= 0 {
		o.LeastAllowance = UsualAllowance
	}
	p := &planner{job: job, options: o, plan: &Plan{}}
	for _, d := range job.Doubts() {
		p.warn("unusual", 0, d.Field+" "+d.Sentence()+"; nothing is recorded until the file is mended, or says it again on purpose under sure")
	}
	for _, d := range job.Kept() {
		p.warn("unusual", 0, d.Kept()+": "+d.Why)
	}
	p.plan.Settings = p.settings()
	if err := p.complete(); err != nil {
		return nil, err
	}
	p.plan.WeldTo = p.weldTo()
	layers, sliver, err := p.layers(p.asSet())
	if err != nil {
		return nil, err
	}
	p.plan.Layers = layers
	if sliver != nil {
		p.short(sliver)
	}
	if err := p.steel(); err != nil {
		return nil, err
	}
	p.totals()
	p.melting()
	p.bead()
	p.steady()
	p.windows()
	return p.plan, nil
}

func (p *planner) warn(kind string, layer int, text string) {
	p.plan.Warnings = append(p.plan.Warnings, Warning{kind, layer, text})
}
