package finding

import (
	"iter"
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/pass"
)

// Judged are the means over the procedure's averaging time as they were held against
// its limits while the arc burned. Power has no limits of its own; it is beside them,
// as it makes the heat.
//
// A long job has a million of them: they stand in sheets, so that none is moved once it is there,
// and who judges may put away those that are full.
type Judged struct{ sheets [][]JudgedMeans }

// perSheet is how many stand in a sheet.
const perSheet = 4096

// JudgedMeans are those of one time, at its middle.
type JudgedMeans struct {
	Tick                    int64
	Voltage, Current, Power float64 // V, A, W
	Epoch                   int
	Joins                   bool // the arc burned on since those before them
}

// Put puts more of them behind those that are there.
func (j *Judged) Put(more ...JudgedMeans) {
	for _, m := range more {
		last := len(j.sheets) - 1
		if last < 0 || len(j.sheets[last]) == perSheet {
			j.sheets = append(j.sheets, make([]JudgedMeans, 0, perSheet))
			last++
		}
		j.sheets[last] = append(j.sheets[last], m)
	}
}

// PutSheet puts a sheet behind those that are there; it must not be changed any more.
func (j *Judged) PutSheet(sheet []JudgedMeans) { j.sheets = append(j.sheets, sheet) }

// Sheets are all of them in their order, in parts.
func (j *Judged) Sheets() iter.Seq[[]JudgedMeans] { return slices.Values(j.sheets) }

// During goes through those of an epoch from one tick until another, in their order.
func (j *Judged) During(epoch int, from, until int64) iter.Seq[*JudgedMeans] {
	return func(yield func(*JudgedMeans) bool) {
		for _, sheet := range j.sheets {
			for k := range sheet {
				m := &sheet[k]
				if m.Epoch == epoch && m.Tick >= from && m.Tick < until && !yield(m) {
					return
				}
			}
		}
	}
}

// judged keeps the means, some of each averaging time: between two of them a mean
// moves no further than a line between them shows.
type judged struct {
	*ledger
	means   *means
	power   window
	kept    Judged
	away    func(sheet []JudgedMeans) // nil keeps all
	next    int64                     // tick from which the next ones are kept
	resting bool                      // the arc has been out since the last ones
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
	j.kept.Put(JudgedMeans{Epoch: j.epoch, Tick: b.End - j.power.length/2, Voltage: volts, Current: amps, Power: mean, Joins: !j.resting})
	j.next, j.resting = b.End+j.power.length/keptOf, false
	if j.away != nil && len(j.kept.sheets[0]) == perSheet {
		j.away(j.kept.sheets[0])
		j.kept.sheets[0] = j.kept.sheets[0][:0]
	}
}

// Rest implements pass.Listener.
func (j *judged) Rest(pass.Position) { j.clear() }

// End implements pass.Listener.
func (j *judged) End(*pass.Pass) { j.clear() }

func (j *judged) clear() {
	j.power.clear()
	j.resting, j.next = true, 0
}
