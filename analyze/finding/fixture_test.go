package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/arc"
	"arctally/analyze/bore"
	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// turning is a torch that turns once in 48 s from tick 0 on, 6 mm/s along a way of
// 288 mm, and 3 mm deeper with every turn. On a plate it has no angle.
type turning struct {
	plate bool
	epoch int
}

const turnTime = 48e9

func (t turning) At(tick int64) pass.Position {
	turns := float64(tick) / turnTime
	return pass.Position{Moment: pass.Moment{Epoch: t.epoch, Tick: tick}, Turns: turns, Place: t.PlaceOf(turns)}
}

func (t turning) PlaceOf(turns float64) *bore.Place {
	if t.plate {
		return nil
	}
	return &bore.Place{Angle: bore.NormalAngle(quantity.Degrees(360 * turns)), Depth: quantity.Metres(0.003 * turns)}
}

func (t turning) Locate(turns float64) (at bore.Place, known bool) {
	if p := t.PlaceOf(turns); p != nil {
		return *p, true
	}
	return at, false
}

func (turning) PathPerTurn() quantity.Metres  { return 0.288 }
func (turning) Rate() quantity.TurnsPerSecond { return 0 }

// testJob has limits for everything, a window of half a second, a dwell of one
// second and a hold time of 0.3 s.
func testJob() *procedure.Job {
	job := &procedure.Job{Deposit: bore.Deposit{Pitch: 3e-3}}
	job.Procedure.Limits = procedure.Limits{
		Voltage:     lowHigh(quantity.Volts(16.5), 19),
		Current:     lowHigh(quantity.Amperes(110), 160),
		WireSpeed:   lowHigh(quantity.MetresPerSecond(0.075), 0.125),
		TravelSpeed: lowHigh(quantity.MetresPerSecond(0.005), 0.007),
		HeatInput:   lowHigh(quantity.JoulesPerMetre(250e3), 550e3),
		Interpass:   lowHigh(quantity.Celsius(100), 250),
		GasFlow:     lowHigh(quantity.CubicMetresPerSecond(0.0002), 0.0003),
	}
	job.Procedure.Judge = procedure.Judge{AverageOver: 0.5, Dwell: 1, Hold: 0.3, ArcOnTolerance: 0.02}
	return job
}

func lowHigh[Q quantity.Quantity](low, high Q) quantity.Range[Q] {
	return quantity.Range[Q]{Low: low, High: high, HasLow: true, HasHigh: true}
}

// weld has a watch listen to passes that a test lays.
type weld struct {
	*Watch
	pass  *pass.Pass
	epoch int
	tick  int64
	basis heat.TravelBasis
	speed float64 // times that of the torch

	volts, amperes float64
}

// newWeld strikes the arc of pass 4, layer 2, at 12 s, that is at 90 degrees.
func newWeld(job *procedure.Job) *weld {
	w := &weld{Watch: NewWatch(job), epoch: 3, tick: 12e9, basis: heat.TravelMeasured, speed: 1, volts: 17.5, amperes: 140}
	w.Follow(turning{epoch: w.epoch})
	w.strike(4)
	return w
}

func (w *weld) here() pass.Position {
	p := turning{}.At(w.tick)
	p.Epoch, p.Basis = w.epoch, w.basis
	return p
}

func (w *weld) strike(number int) {
	at := w.here()
	w.pass = &pass.Pass{Number: number, Layer: 2, Pattern: bore.Helix, Start: at.Moment, StartPlace: at.Place, TravelBasis: w.basis}
	w.Begin(w.pass, at)
}

// burn lays so many seconds in buckets of 10 ms.
func (w *weld) burn(seconds float64) {
	for range int(seconds*100 + 0.5) {
		b := pass.Bucket{Bucket: arc.Bucket{Start: w.tick, End: w.tick + step, Arc: step, V: w.volts * step, I: w.amperes * step}, TurnsBasis: w.basis}
		w.tick += step
		b.Turns = w.here().Turns
		w.Burn(&b)
	}
}

// rest lets the arc go out for so many seconds.
func (w *weld) rest(seconds float64) {
	from := w.here()
	w.Rest(from)
	w.tick += int64(seconds * 1e9)
	w.Resume(from, w.here(), quantity.Seconds(seconds))
}

// end completes the pass.
func (w *weld) end() {
	at := w.here()
	w.Rest(at)
	w.pass.End, w.pass.EndPlace, w.pass.Elapsed = at.Moment, at.Place, quantity.SecondsOf(at.Tick-w.pass.Start.Tick)
	w.End(w.pass)
}

// only returns the one finding there is.
func (w *weld) only(t *testing.T) Finding {
	t.Helper()
	require.Len(t, w.Found(), 1)
	return w.Found()[0]
}
