package sensorbox

import (
	"context"
	"io"
	"math/rand/v2"
	"testing"

	"arctally/acquire/quantity/quantitytest"
	"arctally/acquire/series"
)

// BenchmarkArc steps the arc alone; the metric is seconds of arc in a second of a core.
func BenchmarkArc(b *testing.B) {
	a := newArc(lawOf(0.9e-3), rand.New(rand.NewPCG(1, 1)), 12e-3)
	a.line, a.feedTarget, a.sourceOn = 17.5+sourceSlope*140, 5.5/60, true
	begun := quantitytest.ProcessorTime(b)
	for b.Loop() {
		a.step()
	}
	b.ReportMetric(stepTime*float64(b.N)/(quantitytest.ProcessorTime(b)-begun).Seconds(), "x-real-time")
}

// BenchmarkBox lays a bead of two turns: once as blocks, once as frames.
func BenchmarkBox(b *testing.B) {
	box, err := New(brisk())
	if err != nil {
		b.Fatal(err)
	}
	lay := map[string]func() (Truth, error){
		"blocks": func() (Truth, error) {
			return box.Each(context.Background(), func(*series.Block) error { return nil })
		},
		"frames": func() (Truth, error) { return box.Write(context.Background(), io.Discard) },
	}
	for name, run := range lay {
		b.Run(name, func(b *testing.B) {
			var since int64
			begun := quantitytest.ProcessorTime(b)
			for b.Loop() {
				truth, err := run()
				if err != nil {
					b.Fatal(err)
				}
				since += truth.End.Since
			}
			b.ReportMetric(float64(since)/1e9/(quantitytest.ProcessorTime(b)-begun).Seconds(), "x-real-time")
		})
	}
}
