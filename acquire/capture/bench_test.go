package capture

import (
	"bytes"
	"testing"
	"time"

	"arctally/acquire/quantity/quantitytest"
	"arctally/acquire/series"
)

// nowhere is a sink that forgets.
type nowhere struct{ samples int }

func (*nowhere) Source(series.Source) error { return nil }

func (n *nowhere) Block(b *series.Block) error { n.samples += b.Len(); return nil }

func (*nowhere) Event(series.Event) error { return nil }

// BenchmarkImport reports rows a second of a core, and how many times more processor time than a bare
// search for line ends in the same bytes the import takes.
func BenchmarkImport(b *testing.B) {
	g := steady()
	g.duration, g.arcs = 1200, beads(1200, 2, 14, 6.5)
	raw, _, _ := shapeD(4, [][2]float64{{0.5, 3.5}})
	for _, c := range []struct {
		name string
		text []byte
		o    Options
	}{
		{"epoch", shapeA(g.readings(), true, true), Options{}},
		{"clock", shapeC(g.readings(), 0, true), Options{TimeLayout: "04:05.0"}},
		{"counts", raw, Options{Voltage: "1*0.0244", Current: "2*0.122", Rate: 50000}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			var sink nowhere
			begun := quantitytest.ProcessorTime(b)
			for b.Loop() {
				sink = nowhere{}
				if _, err := Import(bytes.NewReader(c.text), int64(len(c.text)), c.name, c.o, &sink, nil); err != nil {
					b.Fatal(err)
				}
			}
			each := (quantitytest.ProcessorTime(b) - begun) / time.Duration(b.N)
			base := scanTime(b, c.text)
			b.ReportMetric(float64(sink.samples)/each.Seconds()/1e6, "Mrows/core-s")
			b.ReportMetric(float64(each)/float64(base), "x_line_scan")
		})
	}
}

// scanTime is the best of a few searches for all line ends, twice over as the
// import reads twice.
func scanTime(b *testing.B, text []byte) time.Duration {
	best := time.Hour
	end := byte('\n')
	if bytes.IndexByte(text, end) < 0 {
		end = '\r'
	}
	for range 5 {
		from := quantitytest.ProcessorTime(b)
		lines := 0
		for range 2 {
			for rest := text; ; lines++ {
				i := bytes.IndexByte(rest, end)
				if i < 0 {
					break
				}
				rest = rest[i+1:]
			}
		}
		if d := quantitytest.ProcessorTime(b) - from; lines > 0 {
			best = min(best, d)
		}
	}
	return best
}
