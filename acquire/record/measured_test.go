package record

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// eventKinds are all that there are, by the source of their room: one that is added
// tomorrow is among them.
func eventKinds(t *testing.T) (kinds []series.EventKind) {
	file, err := parser.ParseFile(token.NewFileSet(), filepath.Join("..", "series", "series.go"), nil, 0)
	require.NoError(t, err)
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.ValueSpec); ok {
			if kind, ok := s.Type.(*ast.Ident); ok && kind.Name == "EventKind" {
				text, err := strconv.Unquote(s.Values[0].(*ast.BasicLit).Value)
				require.NoError(t, err)
				kinds = append(kinds, series.EventKind(text))
			}
		}
		return true
	})
	require.Greater(t, len(kinds), 20)
	return kinds
}

// measuredAfter is what a record says of what was measured after something was added.
func measuredAfter(t *testing.T, path string, open func(string) (*Writer, error), add func(*Writer) error) (measured, head string) {
	t.Helper()
	w, err := open(path)
	require.NoError(t, err)
	require.NoError(t, add(w))
	require.NoError(t, w.Close())
	r, err := Open(path)
	require.NoError(t, err)
	measured, err = r.Measured()
	require.NoError(t, err)
	head, err = r.Fingerprint()
	require.NoError(t, err)
	require.NoError(t, r.Close())
	return measured, head
}

// A record that went on begins as it did, and has more groups; another one begins otherwise.
func TestReader_Reach(t *testing.T) {
	path := peopledRecord(t)
	reach := func(path string) (string, int64) {
		r, err := Open(path)
		require.NoError(t, err)
		begins, groups, err := r.Reach()
		require.NoError(t, err)
		require.NoError(t, r.Close())
		return begins, groups
	}
	begins, groups := reach(path)
	require.Len(t, begins, 64)
	require.Greater(t, groups, int64(1))
	_, head := measuredAfter(t, path, Amend, func(w *Writer) error {
		_, err := w.Entry("disposition", "Inspector 1", time.Unix(7, 0), "text")
		return err
	})
	require.NotEqual(t, begins, head)
	again, more := reach(path)
	require.Equal(t, begins, again)
	require.Equal(t, groups+1, more)
	other, _ := reach(filepath.Join("..", "..", "testdata", "record", "version-2-box.arctally"))
	require.NotEqual(t, begins, other)
}

// Whatever was measured, or happened, makes another record of it; what people find and
// decide, and what is summed up or sealed, does not.
func TestMeasured(t *testing.T) {
	path := peopledRecord(t)
	machine, inspector, _ := keysOf(t)
	sealed := func(path string) (*Writer, error) {
		w, err := Amend(path)
		if err == nil {
			w.SealWith(machine)
		}
		return w, err
	}
	nothing := func(*Writer) error { return nil }
	measured, head := measuredAfter(t, path, Amend, nothing)
	require.NotEmpty(t, measured)
	require.NotEqual(t, head, measured, "its last groups are entries")

	for name, add := range map[string]func(w *Writer) error{
		"a disposition": func(w *Writer) error {
			_, err := w.Entry("disposition", "Inspector 1", time.Unix(7, 0), "text")
			return err
		},
		"a measurement": func(w *Writer) error {
			_, err := w.Entry("machining", "Inspector 1", time.Unix(7, 0), "text")
			return err
		},
		"a signed entry": func(w *Writer) error {
			_, err := w.Entries([]Entry{{Kind: "disposition", At: time.Unix(8, 0), By: "Inspector 1", Text: "t", Key: inspector}})
			return err
		},
		"a photograph": func(w *Writer) error { _, err := w.Photograph("image/png", picture(100, 9)); return err },
		"a check without a calibration": func(w *Writer) error {
			return w.Check(&calib.Check{Subject: calib.CentringCheck, Done: time.Unix(9, 0), By: "x"})
		},
	} {
		is, now := measuredAfter(t, path, sealed, add)
		require.Equal(t, measured, is, name)
		require.NotEqual(t, head, now, name)
		head = now
	}

	changes := map[string]func(w *Writer) error{
		"a calibration": func(w *Writer) error {
			return w.Check(&calib.Check{
				Subject: calib.MeterCheck, Channel: "voltage", Done: time.Unix(9, 0), By: "x",
				Calibration: &calib.Calibration{Channel: "voltage", Gain: 1.1, Relative: 0.01, Date: "2026-05-04"},
			})
		},
		"a fit of the clock": func(w *Writer) error {
			return w.Clock(clock.Fit{Tick: 1, Slope: 1, Wall: time.Unix(1, 0)})
		},
		"a source": func(w *Writer) error {
			s := box()
			s.Serial = "18"
			return w.Source(s)
		},
	}
	for _, kind := range eventKinds(t) {
		changes["event "+string(kind)] = func(w *Writer) error { return w.Event(series.Event{Kind: kind, Tick: 3, Count: 1, Text: "x"}) }
	}
	for name, add := range changes {
		is, _ := measuredAfter(t, path, Amend, add)
		require.NotEqual(t, measured, is, name)
		measured = is
	}
	is, _ := measuredAfter(t, path, Append, func(w *Writer) error {
		b := arcBlock(10)
		b.Epoch = w.NextEpoch()
		return w.Block(b)
	})
	require.NotEqual(t, measured, is, "samples")
}

// The frozen records of older versions have a head of what was measured too. A table that
// is added tomorrow counts, until somebody has thought of it here.
func TestMeasured_allVersions(t *testing.T) {
	frozen, err := filepath.Glob("../../testdata/record/*.arctally")
	require.NoError(t, err)
	require.NotEmpty(t, frozen)
	for _, path := range frozen {
		r, err := Open(path)
		require.NoError(t, err)
		measured, err := r.Measured()
		require.NoError(t, err)
		require.Len(t, measured, 64, path)
		require.NoError(t, r.Close())
	}
	var counted []string
	for _, table := range chained {
		if !slices.Contains(unmeasured, table) {
			counted = append(counted, table.name)
		}
	}
	require.Equal(t, []string{"meta", "sources", "channels", "calibrations", "clock", "events", "chunks"}, counted)
}

// What boxes say of themselves comes in the order of the record; what one says again as it
// was is left out, whatever others said meanwhile.
func TestReader_Sources(t *testing.T) {
	path := filepath.Join(t.TempDir(), "several.arctally")
	w, err := Create(path, Meta{Job: "several"})
	require.NoError(t, err)
	tick, epoch := int64(0), [2]int{0, 1}
	said := func(box int, serial string) series.Source {
		s := series.Source{Box: box, Name: "box", Serial: serial, Channels: []series.Channel{{Name: "voltage", Unit: "V", Scale: 1}, {Name: "current", Unit: "A", Scale: 1}}}
		require.NoError(t, w.Source(s))
		b := arcBlock(10)
		b.Box, b.Epoch, b.Tick = box, epoch[box], tick
		require.NoError(t, w.Block(b))
		require.NoError(t, w.Sync())
		tick += 1_000_000_000
		return s
	}
	first, beside := said(0, "a"), said(1, "b")
	said(0, "a")
	epoch[1] = 2
	said(1, "b")
	other := said(0, "c")
	back := said(0, "a")
	require.NoError(t, w.Close())
	r, err := Open(path)
	require.NoError(t, err)
	found, err := r.Sources()
	require.NoError(t, err)
	require.NoError(t, r.Close())
	require.Len(t, found, 4)
	for k, want := range []series.Source{first, beside, other, back} {
		require.True(t, found[k].Equal(want), k)
	}
}

// What happened within a window is found, whether the record is finished or grows.
func TestReader_EventsWithin(t *testing.T) {
	path := filepath.Join(t.TempDir(), "events.arctally")
	w, err := Create(path, Meta{Job: "events"})
	require.NoError(t, err)
	all := []series.Event{
		{Kind: series.Gap, Tick: 10, Until: 20},
		{Kind: series.Remark, Tick: 30, Until: 30},
		{Kind: series.Gap, Tick: 90, Until: 95},
		{Kind: series.Gap, Epoch: 1, Tick: 15, Until: 16},
		{Kind: series.Overrun, Tick: 5, Until: 1},
		{Kind: series.Damaged, Tick: 0, Until: 100},
	}
	for _, e := range all {
		require.NoError(t, w.Event(e))
	}
	require.NoError(t, w.Sync())
	within := func(epoch int, from, until int64) (found []int64) {
		r, err := Open(path)
		require.NoError(t, err)
		for range 2 {
			events, err := r.EventsWithin(epoch, from, until)
			require.NoError(t, err)
			found = nil
			for _, e := range events {
				if e.Epoch == epoch && e.Tick < until && max(e.Tick, e.Until) >= from {
					found = append(found, e.Tick)
				}
			}
			if !r.still.known {
				require.Len(t, events, len(found), "no others of one that grows")
			}
		}
		require.NoError(t, r.Close())
		return found
	}
	look := func() {
		require.Equal(t, []int64{10, 0}, within(0, 20, 30))
		require.Equal(t, []int64{30, 0}, within(0, 30, 31))
		require.Equal(t, []int64{5, 0}, within(0, 5, 6))
		require.Equal(t, []int64{15}, within(1, 16, 17))
		require.Empty(t, within(2, 0, 1000))
	}
	look()
	require.NoError(t, w.Close())
	look()
	r, err := Open(path)
	require.NoError(t, err)
	for range 2 {
		events, err := r.Events()
		require.NoError(t, err)
		require.Equal(t, all, events)
		_ = append(events, series.Event{})
		spans, err := r.Epochs()
		require.NoError(t, err)
		require.Empty(t, spans)
	}
	require.NoError(t, r.db.Close())
	_, err = r.Events()
	require.NoError(t, err, "they were read once")
	_, err = r.Epochs()
	require.NoError(t, err)
}

// Of each epoch the newest fit that knows the wall time is read, however they follow one
// another, and no other.
func TestReader_Clock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "clock.arctally")
	w, err := Create(path, Meta{Job: "clock"})
	require.NoError(t, err)
	at := func(s int64) time.Time { return time.Unix(1_800_000_000+s, 0).UTC() }
	for k, f := range []clock.Fit{
		{Epoch: 0, Wall: at(0)}, {Epoch: 1}, {Epoch: 0, Wall: at(1)}, {Epoch: 1, Wall: at(5)}, {Epoch: 2}, {Epoch: 3, Wall: at(9)}, {Epoch: 1}, {Epoch: 0, Wall: at(3)},
	} {
		f.Tick, f.Slope = int64(k), 1
		require.NoError(t, w.Clock(f))
		require.NoError(t, w.Sync())
	}
	require.NoError(t, w.Close())
	r, err := Open(path)
	require.NoError(t, err)
	require.Equal(t, []clock.Fit{{Epoch: 0, Tick: 7, Wall: at(3), Slope: 1}, {Epoch: 3, Tick: 5, Wall: at(9), Slope: 1}, {Epoch: 1, Tick: 3, Wall: at(5), Slope: 1}}, r.Clock())
	for epoch, want := range map[int]time.Time{0: at(3), 1: at(5), 3: at(9)} {
		wall, known := r.WallTime(epoch, map[int]int64{0: 7, 1: 3, 3: 5}[epoch])
		require.True(t, known)
		require.Equal(t, want, wall)
	}
	for _, epoch := range []int{2, 4} {
		_, known := r.WallTime(epoch, 0)
		require.False(t, known, epoch)
	}
	require.NoError(t, r.Close())
	samples, err := OpenSamples(path)
	require.NoError(t, err)
	require.Empty(t, samples.Clock())
	require.NoError(t, samples.Close())
}
