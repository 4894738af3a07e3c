package finding

import (
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
)

// Judged are the means over the procedure's averaging time as they were held against
// its limits while the arc burned. Power has no limits of its own; it is beside them,
// as it makes the heat.
type Judged struct{ Voltage, Current, Power []JudgedMean }

// JudgedMean is one mean, at the middle of the time over which it was taken.
type JudgedMean struct {
	Epoch int
	Tick  int64
	Value float64
	Joins bool // the arc burned on since the one before it
}

// judged keeps the means, some of each averaging time: between two of them a mean
// moves no further than a line between them shows.
type judged struct {
	*ledger
	means   *means
	power   window
	kept    Judged
	next    int64 // tick from which the next ones are kept
	resting bool  // the arc has been out since the last ones
}

// keptOf is how many means are kept of an averaging time.
const keptOf = 4

// Begin implements pass.Listener.
func (j *judged) Begin(*pass.Pass, pass.Position) { j.clear() }

// Resume implements pass.Listener.
func (j *judged) Resume(_, _ pass.Position, _ quantity.Seconds) {}

// Burn implements pass.Listener. It must hear of a bucket after the means have.
func (j *judged) Burn(b *pass.Bucket) {
	if b.Arc <= 0 || j.power.length <= 0 {
		return
	}
	j.power.push(reading{start: b.Start, end: b.End, weight: float64(b.Arc), mean: b.Energy / float64(b.Arc+b.Partial)})
	mean, full := j.power.mean()
	if !full || b.End < j.next {
		return
	}
	j.keep(&j.kept.Power, mean, b.End)
	of := &j.means.monitors
	mean, _ = of[voltage].recent.mean() // over the same buckets, so full as well
	j.keep(&j.kept.Voltage, mean, b.End)
	mean, _ = of[current].recent.mean()
	j.keep(&j.kept.Current, mean, b.End)
	j.next, j.resting = b.End+j.power.length/keptOf, false
}

func (j *judged) keep(into *[]JudgedMean, mean float64, end int64) {
	if n := len(*into); n == cap(*into) {
		*into = slices.Grow(*into, n+1) // twice as much: a long job has a million, and growing by a quarter copies each four times
	}
	*into = append(*into, JudgedMean{j.epoch, end - j.power.length/2, mean, !j.resting})
}

// Rest implements pass.Listener.
func (j *judged) Rest(pass.Position) { j.clear() }

// End implements pass.Listener.
func (j *judged) End(*pass.Pass) { j.clear() }

func (j *judged) clear() {
	j.power.clear()
	j.resting, j.next = true, 0
}
