package workshop

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/clock"
	"arctally/acquire/quantity/quantitytest"
	"arctally/acquire/record"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/terminal"
	"arctally/report/page"
)

// What a bench records again and again to make a long job: the first minutes of
// the demo's job, at 10 kHz.
const (
	repeated  = 180 * second
	second    = int64(time.Second)
	benchHour = 3600 * second
	// afterSecond is where within a second of the box a commit falls, so that its
	// seconds are cut in two as those of a live record are.
	afterSecond = 370 * int64(time.Millisecond)
)

// benchLengths are those of the records that are looked at, in minutes: the longer ones
// where they are asked for.
func benchLengths() []int64 {
	switch {
	case os.Getenv("ARCTALLY_TWO_DAYS") != "":
		return []int64{10, 180, 720, 2880}
	case os.Getenv("ARCTALLY_TWELVE_HOURS") != "":
		return []int64{10, 180, 720}
	}
	return []int64{10, 60}
}

// longRecord writes a record of so many ns. As a live one it is committed once a second
// of it, each time with a fit of the clock; as an import it is cut where groups are full.
func longRecord(b *testing.B, file string, length int64, live bool) {
	box, err := sensorbox.New(sensorbox.Demo())
	require.NoError(b, err)
	blocks := laidBlocks(b, box)
	job, err := jobfile.Read(jobtest.Folder(b))
	require.NoError(b, err)
	w, err := record.Create(file, record.Meta{Job: job.Name, Procedure: job.Procedure.Name, Documents: job.Documents})
	require.NoError(b, err)
	require.NoError(b, w.Source(box.Plan().Source()))
	next := afterSecond
	for shift := int64(0); shift < length; shift += repeated {
		for k := range blocks {
			block := &blocks[k]
			if live && block.At(0) >= next {
				next += second
				require.NoError(b, w.Clock(clock.Fit{Tick: block.At(0), Slope: 1, Wall: time.Unix(1_790_000_000, block.At(0)), Arrival: time.Unix(1_790_000_000, block.At(0))}))
				require.NoError(b, w.Sync())
			}
			require.NoError(b, w.Block(block))
			block.Tick += repeated
			for i := range block.Ticks {
				block.Ticks[i] += repeated
			}
		}
	}
	require.NoError(b, w.Close())
}

// laidBlocks returns what the box says of the part that is repeated.
func laidBlocks(b *testing.B, box *sensorbox.Box) []series.Block {
	var blocks []series.Block
	enough := errors.New("enough")
	_, err := box.Each(context.Background(), func(in *series.Block) error {
		if in.At(0) >= repeated {
			return enough
		}
		var own series.Block
		own.CopyFrom(in)
		blocks = append(blocks, own)
		return nil
	})
	require.ErrorIs(b, err, enough)
	return blocks
}

// BenchmarkTrace asks for windows of long records as a page does, over HTTP: the processor
// time in ms, of both ends, for 1200 columns of voltage and current. Each window is another
// one, of which nothing was read before.
func BenchmarkTrace(b *testing.B) {
	folder := os.Getenv("ARCTALLY_RECORDS") // where those of a bench before may be
	if folder == "" {
		folder = b.TempDir()
	}
	base := serveRecords(b, folder)
	for _, minutes := range benchLengths() {
		for _, kind := range []string{"live", "import"} {
			name := fmt.Sprintf("%s-%d-min", kind, minutes)
			file := filepath.Join(folder, name+jobfile.RecordExtension)
			if _, err := os.Stat(file); err != nil {
				longRecord(b, file, minutes*60*second, kind == "live")
			}
			for _, window := range []int64{1, 10, 600, 3600} {
				if window < minutes*60 {
					v := &viewing{url: base + "/records/" + name + "/trace", length: minutes * 60 * second, width: window * second}
					b.Run(fmt.Sprintf("%s/%ds", name, window), v.bench)
				}
			}
			v := &viewing{url: base + "/records/" + name + "/trace", length: minutes * 60 * second, width: minutes * 60 * second}
			b.Run(name+"/all", v.bench)
		}
	}
}

// serveRecords serves a folder as the command serve does, but judges nothing unasked.
func serveRecords(b *testing.B, folder string) (base string) {
	f, err := openFolder(folder)
	require.NoError(b, err)
	hub := page.NewHub()
	shop := newWorkshop(context.Background(), f, terminal.New(io.Discard, io.Discard), hub, nil)
	pages := page.Handler(page.Options{Workshop: shop, Explain: explain.Page, Hub: hub, Log: slog.New(slog.DiscardHandler)})
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		pages.ServeHTTP(w, r.WithContext(page.AtTheMachine.With(r.Context())))
	}))
	b.Cleanup(func() {
		server.Close()
		shop.close()
		require.NoError(b, f.close())
	})
	return server.URL + "/api"
}

// viewing is a record of a length that is looked at in windows of a width.
type viewing struct {
	url           string
	length, width int64
}

func (v *viewing) bench(b *testing.B) {
	random := rand.New(rand.NewPCG(1, 2))
	var took []time.Duration
	size := 0
	for b.Loop() {
		from := int64(0)
		if v.width < v.length {
			from = random.Int64N(v.length - v.width)
		}
		begun := quantitytest.ProcessorTime(b)
		size = max(size, v.ask(b, from))
		took = append(took, quantitytest.ProcessorTime(b)-begun)
	}
	slices.Sort(took)
	b.ReportMetric(took[len(took)/2].Seconds()*1e3, "p50-ms")
	b.ReportMetric(took[len(took)*99/100].Seconds()*1e3, "p99-ms")
	b.ReportMetric(float64(size)/1e3, "sent-kB")
	b.ReportMetric(0, "ns/op") // the quantiles say more
}

// ask asks for a window and returns how many bytes came.
func (v *viewing) ask(b *testing.B, from int64) int {
	url := fmt.Sprintf("%s?epoch=0&from=%d&until=%d&columns=1200", v.url, from, from+v.width)
	request, err := http.NewRequestWithContext(b.Context(), http.MethodGet, url, http.NoBody)
	require.NoError(b, err)
	request.Header.Set("Accept-Encoding", "gzip")
	response, err := http.DefaultClient.Do(request)
	require.NoError(b, err)
	answer, err := io.ReadAll(response.Body)
	require.NoError(b, err)
	require.NoError(b, response.Body.Close())
	require.Equal(b, http.StatusOK, response.StatusCode, string(answer))
	return len(answer)
}
