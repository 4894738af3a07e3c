package analyze

import (
	"testing"
	"time"

	"arctally/acquire/quantity/quantitytest"
	"arctally/acquire/series"
	"arctally/analyze/bore"
)

// second returns one second of the dipping arc at 10 kHz, a block of which
// starts at a tick that the caller sets.
func second() series.Block {
	a := arcSignal{step: ms / 10}
	b := series.Block{Kind: series.Arc, Step: a.step}
	for k := range int64(10_000) {
		v, i := a.at(k * a.step)
		b.V, b.I = append(b.V, int32(v*100)), append(b.I, int32(i*10))
	}
	return b
}

// bare is the least that any analysis must do: the trapezoid of v*i.
func bare(b *series.Block, last float64) (energy, power float64) {
	for k := range b.V {
		p := float64(b.V[k]) * 0.01 * float64(b.I[k]) * 0.1
		energy += (last + p) / 2 * 1e-4
		last = p
	}
	return energy, last
}

// BenchmarkRun reports how long the whole analysis takes against the bare
// trapezoid over the same samples, and values (V and I) a second.
func BenchmarkRun(b *testing.B) {
	block := second()
	turn := series.Block{Kind: series.Turn, Ticks: make([]int64, 1), Count: make([]int64, 1)}
	r := New(boreJob(bore.Helix), nil)
	if err := r.Source(source(360)); err != nil {
		b.Fatal(err)
	}
	sum, last := 0.0, 0.0
	var plain, judged time.Duration
	b.ReportAllocs()
	for k := 0; b.Loop(); k++ {
		begun := quantitytest.ProcessorTime(b)
		e, p := bare(&block, last)
		sum, last = sum+e, p
		between := quantitytest.ProcessorTime(b)
		block.Tick = int64(k) * 1_000_000_000
		for c := range int64(7) { // 1.25 rpm: 7.5 counts a second
			turn.Ticks[0], turn.Count[0] = block.Tick+c*130*ms, int64(float64(k)*7.5)+c
			if err := r.Block(&turn); err != nil {
				b.Fatal(err)
			}
		}
		if err := r.Block(&block); err != nil {
			b.Fatal(err)
		}
		plain, judged = plain+between-begun, judged+quantitytest.ProcessorTime(b)-between
	}
	if sum == 0 {
		b.Fatal("no energy")
	}
	b.ReportMetric(judged.Seconds()/plain.Seconds(), "x-bare-trapezoid")
	b.ReportMetric(float64(b.N)*20_000/judged.Seconds()/1e6, "Mvalues/core-s")
}

// BenchmarkNow reports how long a run takes that is asked ten times a second
// of the record how the arc stands, and for the ring, against one that is not
// asked.
func BenchmarkNow(b *testing.B) {
	for name, ask := range map[string]func(*Run){
		"standing": func(r *Run) { r.Now() },
		"turn":     func(r *Run) { r.Turn() },
	} {
		b.Run(name, func(b *testing.B) {
			l := lay{job: boreJob(bore.Helix), source: source(360), signal: arcSignal{step: ms / 10, voltage: level}}
			l.job.Bore.Length = 1 // many turns: the pass does not end
			tenth, turn := l.tenth(), series.Block{Kind: series.Turn, Ticks: make([]int64, 1), Count: make([]int64, 1)}
			watched, alone := New(l.job, nil), New(l.job, nil)
			for _, r := range []*Run{watched, alone} {
				if err := r.Source(l.source); err != nil {
					b.Fatal(err)
				}
			}
			var took, without time.Duration
			b.ReportAllocs()
			for k := 0; b.Loop(); k++ {
				tenth.Tick = int64(k) * 100 * ms
				turn.Ticks[0], turn.Count[0] = tenth.Tick, int64(float64(k)*0.75)
				begun := quantitytest.ProcessorTime(b)
				feedTwo(b, watched, &turn, &tenth)
				ask(watched)
				between := quantitytest.ProcessorTime(b)
				feedTwo(b, alone, &turn, &tenth)
				took, without = took+between-begun, without+quantitytest.ProcessorTime(b)-between
			}
			b.ReportMetric(took.Seconds()/without.Seconds(), "x-unasked")
			b.ReportMetric(float64(took-without)/float64(b.N), "ns/ask")
		})
	}
}

// tenth returns a tenth of a second of the signal.
func (l lay) tenth() series.Block {
	b := series.Block{Kind: series.Arc, Step: l.signal.step}
	for k := range int64(1000) {
		v, i := l.signal.at(k * b.Step)
		b.V, b.I = append(b.V, int32(v*100)), append(b.I, int32(i*10))
	}
	return b
}

func feedTwo(b *testing.B, r *Run, blocks ...*series.Block) {
	for _, block := range blocks {
		if err := r.Block(block); err != nil {
			b.Fatal(err)
		}
	}
}
