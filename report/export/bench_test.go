package export

import (
	"bytes"
	"io"
	"os"
	"testing"
	"time"

	"arctally/acquire/quantity/quantitytest"
)

// BenchmarkExport writes 1000 blocks of 1000 samples to the null device, and
// then the same bytes plainly in pieces of the same size; the ratio is what the
// making of the text costs.
func BenchmarkExport(b *testing.B) {
	samples := of(manyBlocks(1000))
	for name, write := range map[string]func(io.Writer) error{
		"csv":          func(w io.Writer) error { return CSV(w, samples) },
		"lineprotocol": func(w io.Writer) error { return LineProtocol(w, samples, nil) },
	} {
		b.Run(name, func(b *testing.B) {
			var whole bytes.Buffer
			if err := write(&whole); err != nil {
				b.Fatal(err)
			}
			null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			var export, plain time.Duration
			for b.Loop() {
				start := quantitytest.ProcessorTime(b)
				if err := write(null); err != nil {
					b.Fatal(err)
				}
				export += quantitytest.ProcessorTime(b) - start
				start = quantitytest.ProcessorTime(b)
				if err := copyOut(null, whole.Bytes()); err != nil {
					b.Fatal(err)
				}
				plain += quantitytest.ProcessorTime(b) - start
			}
			rows := 1e6 * float64(b.N)
			b.ReportMetric(rows/export.Seconds()/1e6, "Mrows/core-s")
			b.ReportMetric(rows/plain.Seconds()/1e6, "plain-Mrows/core-s")
			b.ReportMetric(export.Seconds()/plain.Seconds(), "times-plain")
			b.ReportMetric(float64(whole.Len())/1e6, "bytes/row")
			if err := null.Close(); err != nil {
				b.Fatal(err)
			}
		})
	}
}

// copyOut copies each piece first, as an exporter must, and writes it.
func copyOut(w io.Writer, text []byte) error {
	piece := make([]byte, 0, flushAt)
	for len(text) > 0 {
		n := min(flushAt, len(text))
		piece = append(piece[:0], text[:n]...)
		if _, err := w.Write(piece); err != nil {
			return err
		}
		text = text[n:]
	}
	return nil
}
