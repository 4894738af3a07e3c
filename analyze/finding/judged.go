package finding

import (
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
)

// Judged are the means over the procedure's averaging time as they were held against
// its limits while the arc burned. Power has no limits of its own; it is beside them,
// as it makes the heat.
type Judged []JudgedMeans

// JudgedMeans are those of one time, at its middle.
type JudgedMeans struct {
	Epoch                   int
	Tick                    int64
	Voltage, Current, Power float64 // V, A, W
	Joins                   bool    // the arc burned on since those before them
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
	of := &j.means.monitors
	volts, _ := of[voltage].recent.mean() // over the same buckets, so full as well
	amps, _ := of[current].recent.mean()
	if n := len(j.kept); n == cap(j.kept) {
		j.kept = slices.Grow(j.kept, n+1) // twice as much: a long job has many, and growing by a quarter copies each four times
	}
	j.kept = append(j.kept, JudgedMeans{Epoch: j.epoch, Tick: b.End - j.power.length/2, Voltage: volts, Current: amps, Power: mean, Joins: !j.resting})
	j.next, j.resting = b.End+j.power.length/keptOf, false
}

// Rest implements pass.Listener.
func (j *judged) Rest(pass.Position) { j.clear() }

// End implements pass.Listener.
func (j *judged) End(*pass.Pass) { j.clear() }

func (j *judged) clear() {
	j.power.clear()
	j.resting, j.next = true, 0
}
