package record

import (
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// whenAsked has a record committed when it is asked for, and never by the clock: how many
// groups it has does not depend on how fast the machine is.
func whenAsked() options {
	return options{now: time.Now, limit: queueLimit, beat: make(chan time.Time)}
}

// unhurried makes a record that is committed only when it is asked for.
func unhurried(t *testing.T) (*Writer, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "job.arc")
	w, err := create(path, Meta{}, whenAsked())
	require.NoError(t, err)
	return w, path
}

// A Sync that finds nothing to commit leaves nothing behind: what is added after it
// waits for the next one.
func TestWriter_ASyncOfNothingDoesNotCutWhatComesNext(t *testing.T) {
	w, _ := unhurried(t)
	require.NoError(t, w.Sync())
	w.mu.Lock()
	require.NoError(t, w.flush())
	require.NoError(t, w.hold(w.arc(), costOfRow, func(g *group) { g.events = append(g.events, series.Event{Kind: series.Gap}) }))
	w.mu.Unlock()
	batch, _ := w.take(false)
	require.Empty(t, batch)
	w.mu.Lock()
	require.False(t, w.arc().open.empty())
	w.mu.Unlock()
	require.NoError(t, w.Close())
}

// inGroups ends the open group, so that what comes next is in another one; a Sync
// or Close commits all of them in one go.
func (w *Writer) inGroups() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.cutAll()
}

// numbersOf returns the numbers of the groups that a walk gives.
func numbersOf(t *testing.T, walk func(yield func(*Group, error) bool)) (numbers []int64) {
	t.Helper()
	for g, err := range walk {
		require.NoError(t, err)
		numbers = append(numbers, g.Number)
	}
	return numbers
}

// Heads of groups are read 256 at once: none is lost and none comes twice where a
// record has about so many, and a change of the last one is seen.
func TestGroups_AsManyAsAreReadAtOnce(t *testing.T) {
	for _, groups := range []int64{commitsAtOnce - 1, commitsAtOnce, commitsAtOnce + 1, 2 * commitsAtOnce, 2*commitsAtOnce + 1} {
		w, path := unhurried(t)
		for k := range groups - 1 { // the first one holds what the record is about
			require.NoError(t, w.Block(&series.Block{Kind: series.Turn, Tick: k, Count: []int64{k}}))
			w.inGroups()
		}
		require.NoError(t, w.Close())
		require.NoError(t, Verify(path))
		r, err := Open(path)
		require.NoError(t, err)
		all := numbersOf(t, r.Groups())
		require.Len(t, all, int(groups))
		for k, number := range all {
			require.Equal(t, int64(k+1), number)
		}
		require.Equal(t, all[1:], numbersOf(t, r.Between(0, 0, groups)))
		require.NoError(t, r.Close())
		alter(t, path, fmt.Sprintf("UPDATE chunks SET tick = tick + 1 WHERE commit_number = %d", groups))
		requireKind(t, Altered, Verify(path))
	}
}

// Between gives the groups that have a sample in [from, until), and no others,
// while the record grows and when it is finished.
func TestBetween_ToTheTick(t *testing.T) {
	w, path := unhurried(t)
	require.NoError(t, w.Source(box()))
	type extent struct{ number, first, last int64 }
	extents := []extent{{2, -300, -210}, {3, -200, -110}, {4, 0, 90}, {5, 100, 100}, {6, 110, 1200}, {7, 1300, 1390}}
	for _, e := range extents {
		step := e.last - e.first
		n := 2
		if step == 0 {
			n = 1
		}
		require.NoError(t, w.Block(&series.Block{Kind: series.Arc, Epoch: 1, Tick: e.first, Step: step, V: make([]int32, n), I: make([]int32, n)}))
		w.inGroups()
	}
	require.NoError(t, w.Sync())
	check := func() {
		r, err := Open(path)
		require.NoError(t, err)
		edges := []int64{math.MinInt64, -301, -300, -299, -210, -209, -200, 0, 1, 90, 91, 100, 101, 110, 111, 1200, 1201, 1390, 1391, math.MaxInt64}
		for _, from := range edges {
			for _, until := range edges {
				var want []int64
				for _, e := range extents {
					if e.last >= from && e.first < until {
						want = append(want, e.number)
					}
				}
				require.Equal(t, want, numbersOf(t, r.Between(1, from, until)), "%d to %d", from, until)
				first, last, err := r.commitsOf(1, from, until)
				require.NoError(t, err)
				if want == nil {
					want = []int64{0}
				}
				require.Equal(t, [2]int64{want[0], want[len(want)-1]}, [2]int64{first, last}, "%d to %d", from, until)
			}
		}
		require.Empty(t, numbersOf(t, r.Between(0, math.MinInt64, math.MaxInt64)), "another epoch")
		require.NoError(t, r.Close())
	}
	check()
	require.NoError(t, w.Close())
	check()
}

// groupsOf returns how many samples, chunks and other rows each group has after the first.
func groupsOf(t *testing.T, path, query string) (counts []int64) {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	require.NoError(t, r.each(query, nil, func(scan func(...any) error) error {
		var n int64
		err := scan(&n)
		counts = append(counts, n)
		return err
	}))
	require.NoError(t, r.Close())
	return counts
}

// A group is cut by its limits, to the last sample, chunk and event.
func TestGroups_AreCutAtTheirLimits(t *testing.T) {
	const samples = "SELECT samples FROM commits WHERE number > 1 ORDER BY number"
	for name, test := range map[string]struct {
		add   func(w *Writer)
		query string
		want  []int64
	}{
		"samples, exactly": {
			func(w *Writer) { require.NoError(t, w.Block(arcBlock(maxGroupSamples))) }, samples,
			[]int64{maxGroupSamples},
		},
		"one sample too many": {
			func(w *Writer) { require.NoError(t, w.Block(arcBlock(maxGroupSamples+1))) }, samples,
			[]int64{maxGroupSamples, 1},
		},
		"samples of many blocks": {
			func(w *Writer) {
				for range 5 {
					require.NoError(t, w.Block(arcBlock(maxGroupSamples/2)))
				}
			}, samples, []int64{maxGroupSamples, maxGroupSamples, maxGroupSamples / 2},
		},
		"a block that goes over": {
			func(w *Writer) {
				require.NoError(t, w.Block(arcBlock(maxGroupSamples-1)))
				require.NoError(t, w.Block(arcBlock(3)))
			}, samples, []int64{maxGroupSamples, 2},
		},
		"chunks": {
			func(w *Writer) {
				for k := range int64(maxGroupChunks + 1) {
					require.NoError(t, w.Block(&series.Block{Kind: series.Turn, Tick: k, Count: []int64{k}, Break: true}))
				}
			}, samples, []int64{maxGroupChunks, 1},
		},
		"events": {
			func(w *Writer) {
				for range maxGroupOthers + 1 {
					require.NoError(t, w.Event(series.Event{Kind: series.Remark}))
				}
			}, "SELECT events FROM commits WHERE number > 1 ORDER BY number", []int64{maxGroupOthers, 1},
		},
	} {
		t.Run(name, func(t *testing.T) {
			w, path := unhurried(t)
			test.add(w)
			require.NoError(t, w.Close())
			require.Equal(t, test.want, groupsOf(t, path, test.query))
			require.NoError(t, Verify(path))
		})
	}
}

// What people put on record may be as large as the limits say, and not a byte larger.
func TestWriter_TakesTheLargestEntryAndPhotograph(t *testing.T) {
	w, path := unhurried(t)
	text := strings.Repeat("x", MaxEntry)
	_, err := w.Entry("disposition", "Inspector 1", time.Unix(1, 0), text)
	require.NoError(t, err)
	rows := map[string]int64{}
	for size, want := range map[int]int64{1: 1, photographPart - 1: 1, photographPart: 1, photographPart + 1: 2, 2 * photographPart: 2} {
		digest, err := w.Photograph("image/png", picture(size, uint64(size)))
		require.NoError(t, err)
		rows[digest] = want
	}
	require.NoError(t, w.Close())
	require.Equal(t, text, entriesOf(t, path)[0].Text)
	for digest, want := range rows {
		require.Equal(t, []int64{want}, groupsOf(t, path, fmt.Sprintf("SELECT count(*) FROM photographs WHERE sha256 = '%s'", digest)))
	}
	require.NoError(t, CheckPhotograph(path, 1))
	require.NoError(t, CheckPhotograph(path, MaxPhotograph))
	requireKind(t, TooLarge, CheckPhotograph(path, MaxPhotograph+1))
	requireKind(t, Incomplete, CheckPhotograph(path, 0))
	requireKind(t, Incomplete, CheckPhotograph(path, -1))
}

// others add one thing each that is no sample.
func others(t *testing.T) map[string]func(w *Writer) error {
	return map[string]func(w *Writer) error{
		"documents":    func(w *Writer) error { return w.Check(&calib.Check{Subject: "zero", Channel: "voltage"}) },
		"sources":      func(w *Writer) error { return w.Source(box()) },
		"calibrations": func(w *Writer) error { return w.Calibration(calib.Calibration{Channel: "voltage", Gain: 1}, 0, 0) },
		"clock":        func(w *Writer) error { return w.Clock(clock.Fit{Slope: 1}) },
		"events":       func(w *Writer) error { return w.Event(series.Event{Kind: series.Remark}) },
		"entries": func(w *Writer) error {
			_, err := w.Entry("disposition", "Inspector 1", time.Unix(1, 0), "{}")
			return err
		},
		"photographs": func(w *Writer) error {
			_, err := w.Photograph("image/png", []byte{1})
			return err
		},
	}
}

// Whatever is added with whatever else, it is durable after Sync.
func TestSync_MakesEverythingDurable(t *testing.T) {
	for first, add := range others(t) {
		for second, also := range others(t) {
			if first == second {
				continue
			}
			w, path := unhurried(t)
			require.NoError(t, add(w))
			require.NoError(t, also(w))
			require.NoError(t, w.Sync())
			for _, table := range []string{first, second} {
				require.Equal(t, []int64{1}, groupsOf(t, path, "SELECT count(*) FROM "+table), "%s of %s and %s", table, first, second)
			}
			require.NoError(t, w.Close())
		}
	}
}

// Many things of many kinds fill a group as those of one kind do.
func TestGroups_AreCutByThingsOfAllKinds(t *testing.T) {
	w, path := unhurried(t)
	for k := range maxGroupOthers + 1 {
		switch k % 4 {
		case 0:
			require.NoError(t, w.Event(series.Event{Kind: series.Remark}))
		case 1:
			require.NoError(t, w.Clock(clock.Fit{Slope: 1}))
		case 2:
			require.NoError(t, w.Calibration(calib.Calibration{Channel: "voltage", Gain: 1}, 0, 0))
		default:
			require.NoError(t, others(t)["entries"](w))
		}
	}
	require.NoError(t, w.Close())
	require.Equal(t, []int64{maxGroupOthers, 1}, groupsOf(t, path, "SELECT rows FROM commits WHERE number > 1 ORDER BY number"))
}

// A row that cannot be written, of whatever table, fails the commit: nothing of its
// group is in the record, and who added it learns it.
func TestCommit_FailsWithAnyOfItsRows(t *testing.T) {
	all := others(t)
	all["chunks"] = func(w *Writer) error { return w.Block(arcBlock(10)) }
	all["digests"] = func(w *Writer) error { return w.Block(arcBlock(leastSamples)) }
	all["channels"] = all["sources"]
	all["commits"] = all["events"]
	for table, add := range all {
		t.Run(table, func(t *testing.T) {
			w, path := unhurried(t)
			id := map[string]string{"commits": "number"}[table]
			release := inTheWay(t, path, table, cmp.Or(id, "id"), cmp.Or(map[string]int64{"commits": 2}[table], 2*idsPerCommit+1))
			err := add(w)
			if table != "photographs" { // which is durable when it returns
				require.NoError(t, err)
				err = w.Sync()
			}
			requireKind(t, Failed, err)
			require.Equal(t, err, w.Close())
			release()
			require.NoError(t, Verify(path))
			require.Equal(t, []int64{1}, groupsOf(t, path, "SELECT count(*) FROM commits"))
		})
	}
}

// A chunk of any kind fails the commit.
func TestCommit_FailsWithAnyChunk(t *testing.T) {
	for kind, block := range map[string]*series.Block{
		"arc":  arcBlock(2),
		"slow": {Kind: series.Slow, Channel: []uint8{3}, Value: []float64{1}},
		"turn": {Kind: series.Turn, Count: []int64{1}},
		"sums": {Kind: series.Sums, Sum: series.WindowSums{Count: 1}},
	} {
		t.Run(kind, func(t *testing.T) {
			add := func() (*Writer, string) {
				w, path := unhurried(t)
				require.NoError(t, w.Block(block))
				return w, path
			}
			w, path := add()
			require.NoError(t, w.Close())
			id := groupsOf(t, path, "SELECT id FROM chunks WHERE kind = '"+kind+"'")[0]
			w, path = add()
			inTheWay(t, path, "chunks", "id", id)
			requireKind(t, Failed, w.Sync())
			require.Error(t, w.Close())
		})
	}
}

// Chunks are numbered from 1 in their group, those of Slow and Turn first, and a
// chunk at one even pace needs neither runs nor ticks.
func TestChunks_AsTheyStandInTheRecord(t *testing.T) {
	w, path := unhurried(t)
	require.NoError(t, w.Block(arcBlock(5)))
	require.NoError(t, w.Block(&series.Block{Kind: series.Sums, Step: 1, Sum: series.WindowSums{Count: 1}}))
	require.NoError(t, w.Block(&series.Block{Kind: series.Turn, Count: []int64{1}}))
	require.NoError(t, w.Block(&series.Block{Kind: series.Slow, Channel: []uint8{3}, Value: []float64{1}}))
	broken := arcBlock(2)
	broken.Tick, broken.Break = 1_000_000, true
	require.NoError(t, w.Block(broken))
	require.NoError(t, w.Close())
	r, err := Open(path)
	require.NoError(t, err)
	var rows []string
	require.NoError(t, r.each(`SELECT chunk || ' ' || kind || ' ' || part || ' ' || n || ' ' || "break" FROM chunks ORDER BY id`, nil, func(scan func(...any) error) error {
		var row string
		err := scan(&row)
		rows = append(rows, row)
		return err
	}))
	require.NoError(t, r.Close())
	require.Equal(t, []string{
		"1 slow all 1 0", "2 turn all 1 0", "3 arc all 5 0", "4 arc all 2 1", "5 sums all 1 0",
	}, rows)
}

// The extent of a group is that of all its kinds together.
func TestCommit_ExtentOfAllKinds(t *testing.T) {
	w, path := unhurried(t)
	arc := arcBlock(11) // to 1 000 000
	require.NoError(t, w.Block(arc))
	require.NoError(t, w.Block(&series.Block{Kind: series.Slow, Ticks: []int64{-7, 3}, Channel: []uint8{3, 3}, Value: []float64{1, 1}}))
	require.NoError(t, w.Block(&series.Block{Kind: series.Turn, Ticks: []int64{5, 2_000_000}, Count: []int64{1, 2}}))
	w.inGroups()
	require.NoError(t, w.Block(&series.Block{Kind: series.Slow, Ticks: []int64{50, 60}, Channel: []uint8{3, 3}, Value: []float64{1, 1}}))
	require.NoError(t, w.Block(&series.Block{Kind: series.Turn, Ticks: []int64{30, 40}, Count: []int64{1, 2}}))
	w.inGroups()
	require.NoError(t, w.Event(series.Event{Kind: series.Remark, Tick: 9}))
	require.NoError(t, w.Close())
	const query = "SELECT %s FROM commits WHERE first_tick IS NOT NULL ORDER BY number"
	require.Equal(t, []int64{-7, 30}, groupsOf(t, path, fmt.Sprintf(query, "first_tick")))
	require.Equal(t, []int64{2_000_000, 60}, groupsOf(t, path, fmt.Sprintf(query, "last_tick")))
	require.Equal(t, []int64{2}, groupsOf(t, path, "SELECT count(*) FROM commits WHERE first_tick IS NULL AND last_tick IS NULL"))
}
