package record

import (
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// companion is a box beside the one that tells the arc, of other scales.
func companion(number int) series.Source {
	s := box()
	s.Box, s.Port, s.Name, s.Serial = number, "/dev/companion", "companion", "c"
	s.Channels[0].Scale *= 10
	return s
}

// spoken is what was given to a Writer of several boxes, by box.
type spoken struct {
	samples map[int][]sample // of all kinds, in the order of a kind
	events  map[int][]series.Event
	fits    map[int][]clock.Fit
}

func newSpoken() *spoken {
	return &spoken{map[int][]sample{}, map[int][]series.Event{}, map[int][]clock.Fit{}}
}

func (s *spoken) sorted() *spoken {
	for _, samples := range s.samples {
		slices.SortStableFunc(samples, func(a, b sample) int { return int(a.kind) - int(b.kind) })
	}
	return s
}

// severalBoxes makes a record in which three boxes take turns at random.
func severalBoxes(t *testing.T, seed uint64) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "several.arc")
	speakRandomly(t, path, seed)
	return path
}

func speakRandomly(t *testing.T, path string, seed uint64) *spoken {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 3))
	beat := make(chan time.Time)
	w, err := create(path, Meta{Job: "job"}, options{now: time.Now, limit: 20_000, beat: beat})
	require.NoError(t, err)
	said, next := newSpoken(), 0
	var epoch [3]int
	var tick [3]int64
	for k := range epoch {
		epoch[k], next = next, next+1
		s := companion(k)
		if k == 0 {
			s = box()
		}
		require.NoError(t, w.Source(s))
	}
	for range 600 {
		k := r.IntN(3)
		switch r.IntN(14) {
		case 0:
			e := series.Event{Kind: series.Gap, Box: k, Epoch: epoch[k], Tick: tick[k], Until: tick[k], Count: int64(k), Text: "gap"}
			require.NoError(t, w.Event(e))
			said.events[k] = append(said.events[k], e)
		case 1:
			f := clock.Fit{Box: k, Epoch: epoch[k], Tick: tick[k], Slope: 1, Wall: time.Unix(int64(k), 0).UTC(), Arrival: time.Unix(5, 0).UTC()}
			require.NoError(t, w.Clock(f))
			said.fits[k] = append(said.fits[k], f)
		case 2:
			if r.IntN(3) == 0 {
				epoch[k], next, tick[k] = next, next+1, 0
			}
		case 3:
			s := companion(k)
			if k == 0 {
				s = box()
			}
			s.Channels[1].Scale = r.Float64()
			require.NoError(t, w.Source(s))
		case 4:
			if r.IntN(3) == 0 {
				beat <- time.Now()
			}
		default:
			b := randomBlock(r, series.Kind(1+r.IntN(4)), epoch[k], tick[k])
			b.Box = k
			require.NoError(t, w.Block(&b))
			said.samples[k] = flatten(said.samples[k], &b)
			tick[k] = b.At(b.Len()-1) + b.Step
		}
	}
	require.LessOrEqual(t, w.NextEpoch(), next)
	require.NoError(t, w.Close())
	return said.sorted()
}

// readSpoken reads what was said back, and requires that each group is of one box, and
// each epoch too.
func readSpoken(t *testing.T, path string) *spoken {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	said := newSpoken()
	owner := map[int]int{}
	mine := func(epoch, box int) {
		known, ok := owner[epoch]
		require.True(t, !ok || known == box, "epoch %d is of %d and of %d", epoch, known, box)
		owner[epoch] = box
	}
	for g, err := range r.Groups() {
		require.NoError(t, err)
		boxes := map[int]bool{}
		for k := range g.Blocks {
			b := &g.Blocks[k]
			mine(b.Epoch, b.Box)
			boxes[b.Box] = true
			said.samples[b.Box] = flatten(said.samples[b.Box], b)
		}
		for _, e := range g.Events {
			mine(e.Epoch, e.Box)
			boxes[e.Box] = true
			said.events[e.Box] = append(said.events[e.Box], e)
		}
		for _, s := range g.Sources {
			boxes[s.Box] = true
		}
		require.LessOrEqual(t, len(boxes), 1, "group %d", g.Number)
	}
	fits, err := r.ClockIn(Part{0, 1 << 40})
	require.NoError(t, err)
	newest := map[int]clock.Fit{} // by epoch
	for _, f := range fits {
		if !f.Wall.IsZero() {
			newest[f.Epoch] = f
		}
	}
	require.Len(t, r.Clock(), len(newest))
	for _, f := range r.Clock() {
		require.Equal(t, newest[f.Epoch], f)
	}
	for _, f := range fits {
		mine(f.Epoch, f.Box)
		said.fits[f.Box] = append(said.fits[f.Box], f)
	}
	events, err := r.Events()
	require.NoError(t, err)
	for _, e := range events {
		mine(e.Epoch, e.Box)
	}
	spans, err := r.Epochs()
	require.NoError(t, err)
	for _, s := range spans {
		mine(s.Epoch, s.Box)
	}
	require.NoError(t, r.Close())
	return said.sorted()
}

func TestBoxes_WhatEachSaidComesBack(t *testing.T) {
	for seed := range uint64(5) {
		path := filepath.Join(t.TempDir(), "several.arc")
		said := speakRandomly(t, path, seed)
		require.NoError(t, Verify(path))
		require.Equal(t, []int64{0}, groupsOf(t, path, `SELECT count(*) FROM sources s JOIN commits c ON c.number = s.commit_number
			WHERE json_extract(s.description, '$.box') > 0 AND c.samples > 0 AND c.epoch <> s.epoch`), "a row is with its own epoch")
		read := readSpoken(t, path)
		for k := range 3 {
			require.Equal(t, len(said.samples[k]), len(read.samples[k]))
			require.True(t, slices.Equal(said.samples[k], read.samples[k]), "box %d", k)
		}
		require.Equal(t, said.events, read.events)
		require.Equal(t, said.fits, read.fits)
	}
}

// Every group is under the newest description of its box, wherever the reading begins.
func TestBoxes_AGroupIsUnderTheDescriptionOfItsBox(t *testing.T) {
	path := severalBoxes(t, 9)
	r, err := Open(path)
	require.NoError(t, err)
	inForce := map[int]series.Source{}
	at := map[int64]series.Source{} // by group
	for g, err := range r.Groups() {
		require.NoError(t, err)
		for _, s := range g.Sources {
			inForce[s.Box] = s
		}
		if len(g.Blocks) > 0 {
			at[g.Number] = inForce[g.Blocks[0].Box]
		}
	}
	spans, err := r.Epochs()
	require.NoError(t, err)
	require.Greater(t, len(spans), 3)
	seen := 0
	for _, span := range spans {
		for from := span.First; from <= span.Last; from += (span.Last-span.First)/7 + 1 {
			for g, err := range r.Between(span.Epoch, from, span.Last+1) {
				require.NoError(t, err)
				require.Len(t, g.Sources, 1)
				require.Equal(t, at[g.Number], g.Sources[0])
				require.Equal(t, span.Box, g.Blocks[0].Box)
				seen++
				break
			}
		}
	}
	require.Greater(t, seen, 30)
	require.NoError(t, r.Close())
}

// A companion may describe itself anew within an epoch: what it said before stays under
// the former description.
func TestBoxes_ACompanionDescribesItselfAnew(t *testing.T) {
	w, path := unhurried(t)
	for k, scale := range []float64{0.5, 0.25, 0.25} {
		s := companion(1)
		s.Channels[0].Scale = scale
		require.NoError(t, w.Source(s))
		b := arcBlock(5)
		b.Box, b.Epoch, b.Tick = 1, 1, int64(k)*1e9
		require.NoError(t, w.Block(b))
	}
	require.NoError(t, w.Close())
	r, err := Open(path)
	require.NoError(t, err)
	var scales []float64
	var samples []int
	for g, err := range r.Groups() {
		require.NoError(t, err)
		for _, s := range g.Sources {
			scales = append(scales, s.Channels[0].Scale)
			samples = append(samples, 0)
		}
		for k := range g.Blocks {
			samples[len(samples)-1] += g.Blocks[k].Len()
		}
	}
	require.NoError(t, r.Close())
	require.Equal(t, []float64{0.5, 0.25}, scales)
	require.Equal(t, []int{5, 10}, samples)
}

// The extremes of an epoch are in the units of its box.
func TestBoxes_ExtremesAreScaledByTheirBox(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := create(path, Meta{}, whenAsked())
	require.NoError(t, err)
	require.NoError(t, w.Source(box()))
	require.NoError(t, w.Source(companion(1)))
	for k := range 4 {
		b := arcBlock(10)
		b.Box, b.Epoch, b.Tick = k%2, k%2, int64(k/2)*nanosPerSecond
		for n := range b.V {
			b.V[n] = 1700
		}
		require.NoError(t, w.Block(b))
		w.inGroups()
	}
	require.NoError(t, w.Close())
	r, err := Open(path)
	require.NoError(t, err)
	for epoch, want := range []float64{17, 170} {
		for level := range Coarsest + 1 {
			extremes, err := r.Extremes([]int{series.VoltageChannel}, epoch, 0, 2*nanosPerSecond, level)
			require.NoError(t, err)
			require.NotEmpty(t, extremes[0])
			for k := range extremes[0] {
				require.InDelta(t, want, extremes[0][k].Max, 1e-9)
			}
		}
	}
	require.NoError(t, r.Close())
}

// All boxes are committed together: one beat is one group of each.
func TestBoxes_OneCommitForAll(t *testing.T) {
	w, path := unhurried(t)
	for range 50 {
		for k := range 3 {
			b := arcBlock(10)
			b.Box, b.Epoch = k, k
			require.NoError(t, w.Block(b))
		}
	}
	require.NoError(t, w.Close())
	require.Equal(t, []int64{0, 500, 500, 500}, groupsOf(t, path, "SELECT samples FROM commits ORDER BY number"))
}

// A program that knows only one box refuses a record that may be of several. One that
// is made to look older is seen.
func TestBoxes_TheVersionSaysThatThereMayBeSeveral(t *testing.T) {
	w, path := unhurried(t)
	require.NoError(t, w.Source(box()))
	require.NoError(t, w.Block(arcBlock(5)))
	require.NoError(t, w.Source(companion(1)))
	require.NoError(t, w.Sync())
	require.Equal(t, int64(latestVersion), versionOf(t, path))
	require.NoError(t, w.Event(series.Event{Kind: series.Silent, Box: 1, Epoch: 1, Text: "silent"}))
	require.NoError(t, w.Sync())
	require.NoError(t, w.Close())
	require.NoError(t, Verify(path))
	require.Equal(t, []int64{1}, groupsOf(t, path, "SELECT count(*) FROM about WHERE topic = 'boxes'"))
	w, err := Append(path)
	require.NoError(t, err)
	require.Equal(t, 2, w.NextEpoch())
	require.NoError(t, w.Source(companion(1)))
	require.NoError(t, w.Event(series.Event{Kind: series.Silent, Box: 1, Epoch: 2, Text: "silent"}))
	require.NoError(t, w.Close())
	require.NoError(t, Verify(path))
	require.Equal(t, []int64{1}, groupsOf(t, path, "SELECT count(*) FROM about WHERE topic = 'boxes'"), "said once")
	for _, version := range []string{"2", "3"} {
		change(t, path, "PRAGMA user_version = "+version)
		requireKind(t, Altered, Verify(path))
	}
	path = frozen(t, "version-3-box.arctally") // which has no digests to show that it is not older
	change(t, path, "PRAGMA user_version = 2")
	requireKind(t, Altered, Verify(path))
}

// A record of an older version becomes one of several boxes, with the chain going on.
func TestBoxes_AnOldRecordGetsACompanion(t *testing.T) {
	path := oldRecord(t)
	old := heads(t, path)
	w, err := Append(path)
	require.NoError(t, err)
	epoch := w.NextEpoch()
	require.Positive(t, epoch)
	b := arcBlock(5)
	b.Box, b.Epoch = 1, epoch
	require.NoError(t, w.Source(companion(1)))
	require.NoError(t, w.Block(b))
	require.NoError(t, w.Close())
	require.NoError(t, Verify(path))
	require.Equal(t, old, heads(t, path)[:len(old)])
	require.Equal(t, int64(latestVersion), versionOf(t, path))
	require.Len(t, readSpoken(t, path).samples[1], 5)
}

// Whoever goes on with a record takes up the box that tells the arc, and no epoch that
// anything has.
func TestBoxes_GoingOn(t *testing.T) {
	w, path := unhurried(t)
	arc := arcBlock(5)
	arc.Epoch, arc.Tick = 3, 70
	require.NoError(t, w.Source(box()))
	require.NoError(t, w.Block(arc))
	require.NoError(t, w.Source(companion(1)))
	other := arcBlock(5)
	other.Box, other.Epoch, other.Tick = 1, 4, 9000
	require.NoError(t, w.Block(other))
	require.NoError(t, w.Source(companion(2)))
	require.NoError(t, w.Clock(clock.Fit{Box: 2, Epoch: 7, Tick: 5, Slope: 1}))
	require.NoError(t, w.Close())

	w, err := Append(path)
	require.NoError(t, err)
	epoch, tick, ok := w.Last()
	require.True(t, ok)
	require.Equal(t, 3, epoch)
	require.Equal(t, arc.At(4), tick)
	require.Equal(t, 8, w.NextEpoch())
	require.NoError(t, w.Source(box()), "nothing new")
	for k := range 2 {
		b := arcBlock(5)
		b.Box, b.Epoch = k, 8+k
		require.NoError(t, w.Source([]series.Source{box(), companion(1)}[k]))
		require.NoError(t, w.Block(b))
	}
	require.Equal(t, 10, w.NextEpoch())
	require.NoError(t, w.Close())
	require.Equal(t, []int64{1}, groupsOf(t, path, "SELECT count(*) FROM about WHERE topic = 'boxes'"), "said once")
	require.Equal(t, []int64{0, 1, 1, 1}, groupsOf(t, path, "SELECT coalesce(json_extract(description, '$.box'), 0) > 0 FROM sources ORDER BY id"))
	r, err := Open(path)
	require.NoError(t, err)
	for g, err := range r.Groups() {
		require.NoError(t, err)
		for k := range g.Blocks {
			require.Equal(t, g.Blocks[k].Epoch >= 8, g.Blocks[k].Break, "what comes does not follow")
		}
		for _, e := range g.Events {
			require.Equal(t, series.Event{Kind: series.Resumed, Epoch: 3, Tick: tick, Until: tick, Text: e.Text}, e)
		}
	}
	require.NoError(t, r.Close())
}

// An epoch counts as taken even where it has no sample; what people typed in takes none.
func TestWriter_NextEpoch(t *testing.T) {
	for name, c := range map[string]struct {
		add  func(w *Writer) error
		want int
	}{
		"nothing": {func(*Writer) error { return nil }, 0},
		"samples": {func(w *Writer) error { b := arcBlock(1); b.Epoch = 4; return w.Block(b) }, 5},
		"a note":  {func(w *Writer) error { return w.Event(series.Event{Kind: series.Remark, Epoch: 2}) }, 0},
		"a boot":  {func(w *Writer) error { return w.Event(series.Event{Kind: series.Reboot, Epoch: 2}) }, 3},
		"a fit":   {func(w *Writer) error { return w.Clock(clock.Fit{Epoch: 1}) }, 2},
		"silence": {func(w *Writer) error { return w.Event(series.Event{Kind: series.Remark, Box: 1, Epoch: 6}) }, 7},
	} {
		t.Run(name, func(t *testing.T) {
			w, path := unhurried(t)
			require.NoError(t, c.add(w))
			require.NoError(t, w.Close())
			w, err := Append(path)
			require.NoError(t, err)
			require.Equal(t, c.want, w.NextEpoch())
			require.NoError(t, w.Close())
		})
	}
}

// A reader that follows a record learns of a companion that begins to speak meanwhile.
func TestBoxes_ACompanionComesWhileTheRecordIsRead(t *testing.T) {
	w, path := unhurried(t)
	require.NoError(t, w.Block(arcBlock(5)))
	require.NoError(t, w.Sync())
	r, err := Open(path)
	require.NoError(t, err)
	require.NoError(t, w.Source(companion(1)))
	b := arcBlock(5)
	b.Box, b.Epoch = 1, 1
	require.NoError(t, w.Block(b))
	require.NoError(t, w.Event(series.Event{Kind: series.Gap, Box: 1, Epoch: 1}))
	require.NoError(t, w.Sync())
	events, err := r.Events()
	require.NoError(t, err)
	require.Equal(t, 1, events[0].Box)
	var boxes []int
	for g, err := range r.Groups() {
		require.NoError(t, err)
		for k := range g.Blocks {
			boxes = append(boxes, g.Blocks[k].Box)
		}
	}
	require.Equal(t, []int{0, 1}, boxes)
	require.NoError(t, r.Verify())
	require.NoError(t, r.Close())
	require.NoError(t, w.Close())
}
