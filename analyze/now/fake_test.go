package now

import (
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bead"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// second is one, in ticks.
const second = 1_000_000_000

// torch is a Torch that says what it is told to.
type torch struct {
	now      pass.Moment
	none     bool // no sample has come
	at       pass.Position
	burning  bool
	since    *quantity.Seconds
	off      quantity.Seconds
	pass     *pass.Pass
	layer    int
	done     quantity.Ratio
	went     float64
	turning  quantity.TurnsPerSecond
	basis    heat.TravelBasis
	measured bool
	around   quantity.Metres
	parts    [2]int
}

func (t *torch) Parts() (number, planned int) { return t.parts[0], t.parts[1] }

func (t *torch) Now() (pass.Moment, bool) { return t.now, !t.none }

func (t *torch) At(tick int64) pass.Position {
	at := t.at
	at.Moment = pass.Moment{Epoch: t.now.Epoch, Tick: tick}
	return at
}

func (t *torch) Burning() bool { return t.burning }

func (t *torch) Since() (quantity.Seconds, bool) {
	if t.since == nil {
		return 0, false
	}
	return *t.since, true
}

func (t *torch) Off() (pass.Position, quantity.Seconds, bool) {
	return pass.Position{}, t.off, t.off > 0
}

func (t *torch) UnderWay() (pass.Pass, bool) {
	if t.pass == nil {
		return pass.Pass{}, false
	}
	return *t.pass, true
}

func (t *torch) Layer() (int, quantity.Ratio) { return t.layer, t.done }
func (t *torch) Went() float64                { return t.went }
func (t *torch) Measured() bool               { return t.measured }
func (t *torch) PathPerTurn() quantity.Metres { return t.around }

func (t *torch) Turning() (quantity.TurnsPerSecond, heat.TravelBasis) { return t.turning, t.basis }

// judge is a Judge that says what it is told to, and keeps what it was asked.
type judge struct {
	means finding.Means
	open  []finding.Open
	seen  string
	found []finding.Finding

	asked pass.Position
	off   quantity.Seconds
}

func (j *judge) Means() finding.Means     { return j.means }
func (j *judge) Seen() string             { return j.seen }
func (j *judge) Found() []finding.Finding { return j.found }
func (j *judge) Open(now pass.Position, off quantity.Seconds) []finding.Open {
	j.asked, j.off = now, off
	return j.open
}

// wall is a Wall with what was laid in a few cells.
type wall struct {
	grid *bore.Map
	laid map[[2]int]bead.Laid
}

func (w *wall) WithoutCells() *bore.Map { return w.grid }

func (w *wall) Present(row, column int) bead.Laid { return w.laid[[2]int{row, column}] }

func between[Q quantity.Quantity](low, high Q) quantity.Range[Q] {
	return quantity.Range[Q]{Low: low, High: high, HasLow: true, HasHigh: true}
}

// helix is a bore of four turns with a gap of 36 degrees.
func helix() *procedure.Job {
	return &procedure.Job{
		Bore:      bore.Bore{WornDiameter: 0.092, FinishDiameter: 0.090, WeldToDiameter: 0.084, Length: 0.012},
		Deposit:   bore.Deposit{Pattern: bore.Helix, Pitch: 0.003, WireDiameter: 0.9e-3, Efficiency: 0.95, Gaps: []bore.Gap{{From: 80, To: 116}}},
		Rotation:  procedure.Rotation{Speed: 0.02},
		Setpoints: procedure.Setpoints{WireSpeed: 5.5 / 60},
		Procedure: procedure.Procedure{
			Name: "P", Process: "MAG",
			Limits: procedure.Limits{
				Voltage: between[quantity.Volts](16, 20), Current: between[quantity.Amperes](110, 160),
				WireSpeed: between[quantity.MetresPerSecond](0.075, 0.105), TravelSpeed: between[quantity.MetresPerSecond](0.005, 0.007),
				HeatInput: between[quantity.JoulesPerMetre](0.25e6, 0.55e6), GasFlow: between[quantity.CubicMetresPerSecond](2e-4, 3e-4),
				Interpass: quantity.Range[quantity.Celsius]{High: 250, HasHigh: true},
			},
			Judge: procedure.Judge{Definition: procedure.EN1011, Power: series.Instantaneous, GuardBand: 1},
		},
	}
}

// looking is a watch over a helix, with those whom it asks.
func looking() (*Watch, *torch, *judge, *wall) {
	t, j, w := &torch{around: 0.3}, &judge{}, &wall{laid: map[[2]int]bead.Laid{}}
	job := helix()
	w.grid = bore.NewMap(job.Bore, job.Deposit)
	watch := NewWatch(job, j, w)
	watch.Follow(t)
	return watch, t, j, w
}
