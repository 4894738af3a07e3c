package record

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/seal"
	"arctally/acquire/series"
)

// disk is what lies in a folder.
type disk map[string][]byte

// do applies what SQLite did.
func (d disk) do(x touch) {
	switch x.what {
	case "write":
		d[x.file] = grown(d[x.file], int(x.at)+len(x.bytes))
		copy(d[x.file][x.at:], x.bytes)
	case "truncate":
		d[x.file] = grown(d[x.file], int(x.at))[:x.at]
	case "delete":
		delete(d, x.file)
	case "rename":
		d[x.become] = d[x.file]
		delete(d, x.file)
	}
}

// grown is a copy of a file with at least n bytes.
func grown(file []byte, n int) []byte {
	return append(bytes.Clone(file), make([]byte, max(0, n-len(file)))...)
}

// crashes are what may lie on the disk when all stops at some moment.
type crashes struct {
	now     disk // what was done, as another process sees it
	synced  disk // what is sure to be there after a power cut
	pending map[string][]touch
}

func (c *crashes) do(x touch) {
	c.now.do(x)
	switch {
	case x.what == "sync":
		if file, there := c.now[x.file]; there {
			c.synced[x.file] = file
		}
		c.pending[x.file] = nil
	case x.what == "rename", x.what == "delete" && x.lasts:
		c.synced.do(x)
		c.pending[x.file] = nil
	case x.what == "delete":
		c.pending[x.file] = append(c.pending[x.file], x)
	default:
		c.pending[x.file] = append(c.pending[x.file], x)
	}
}

// sector is the least that a disk writes whole.
const sector = 512

// torn is the beginning of a write, up to a border of sectors.
func torn(x touch, r *rand.Rand) touch {
	if x.what == "write" {
		x.bytes = x.bytes[:min(len(x.bytes), sector*r.IntN(len(x.bytes)/sector+1))]
	}
	return x
}

// states returns them by name, where next is what is under way.
func (c *crashes) states(next touch, r *rand.Rand) map[string]disk {
	killed := maps.Clone(c.now)
	killed.do(torn(next, r))
	some := maps.Clone(c.synced)
	for _, pending := range c.pending {
		for _, x := range pending {
			switch r.IntN(3) {
			case 0:
				some.do(x)
			case 1:
				some.do(torn(x, r))
			}
		}
	}
	return map[string]disk{"killed": c.now, "killed within": killed, "nothing unsynced": c.synced, "some of what is unsynced": some}
}

// deed writes a record from beginning to end. It calls done whenever something is
// acknowledged: all that was written before is durable.
type deed func(path string, done func()) error

// makes, seals, and goes on; with entries, photographs, and a fold in between.
func makeAndSeal(machine, inspector *seal.Key) deed {
	return func(path string, done func()) (err error) {
		h := newHand()
		w, err := create(path, Meta{Job: "j"}, h.options())
		if err != nil {
			return err
		}
		done()
		w.SealWith(machine)
		err = errors.Join(writeSome(w, h, inspector, done), w.Close())
		if err != nil {
			return err
		}
		done()
		return goOnWith(path, machine, done)
	}
}

func writeSome(w *Writer, h *hand, inspector *seal.Key, done func()) error {
	if err := w.Source(box()); err != nil {
		return err
	}
	for k := range int64(3) {
		b := arcBlock(600)
		b.Tick = k * 1_000_000_000
		if err := errors.Join(w.Block(b), w.Sync()); err != nil {
			return err
		}
		done()
		h.at = h.at.Add(40 * time.Second)
	}
	if _, err := w.Entries([]Entry{{Kind: "disposition", At: h.at, By: "Inspector 1", Text: "{}", Key: inspector}}); err != nil {
		return err
	}
	if _, err := w.Photograph("image/png", picture(9000, 1)); err != nil {
		return err
	}
	done()
	return nil
}

// goOnWith opens a record and goes on with it, which brings an older one to the version of today.
func goOnWith(path string, machine *seal.Key, done func()) error {
	w, err := appendTo(path, newHand().options())
	if err != nil {
		return err
	}
	w.SealWith(machine)
	err = w.Sync()
	if err == nil {
		done()
		err = w.Event(series.Event{Kind: series.Remark, Text: "x"})
	}
	if err = errors.Join(err, w.Close()); err == nil {
		done()
	}
	return err
}

// deeds are they by name, with the record that each begins with.
func deeds(t *testing.T) map[string]struct {
	before string
	deed   deed
} {
	machine, inspector, _ := keysOf(t)
	upgrade := func(path string, done func()) error { return goOnWith(path, machine, done) }
	return map[string]struct {
		before string
		deed   deed
	}{
		"made, sealed and gone on with": {"", makeAndSeal(machine, inspector)},
		"upgraded from version 1":       {frozen(t, "version-1-capture.arctally"), upgrade},
		"upgraded from version 3":       {frozen(t, "version-3-box.arctally"), upgrade},
	}
}

// oneIn is of how many cases one is tried: of so many, or each one where somebody has the time.
func oneIn(few int) int {
	if os.Getenv("ARCTALLY_FORGERIES") != "" {
		return 1
	}
	return few
}

// Whatever write is the last one, whole or torn, and whatever of those before it that were not
// synced is lost: the record opens, verify says that it is whole, and nothing is missing of
// what was acknowledged.
func TestCrash_AtEveryWrite(t *testing.T) {
	if testing.Short() {
		t.Skip("it opens many records")
	}
	for name, test := range deeds(t) {
		folder := t.TempDir()
		path := filepath.Join(folder, "job.arc")
		start := disk{}
		if test.before != "" {
			file, err := os.ReadFile(test.before)
			require.NoError(t, err)
			start["job.arc"] = file
			require.NoError(t, os.WriteFile(path, file, 0o600))
		}
		watched(t, folder)
		var acknowledged [][2]int // by how many touches so many groups
		require.NoError(t, test.deed(path, func() {
			acknowledged = append(acknowledged, [2]int{len(renamed(seen())), len(heads(t, path))})
		}))
		touches := renamed(unwatched())
		final := heads(t, path)
		require.Greater(t, len(touches), 60)
		c := crashes{maps.Clone(start), maps.Clone(start), map[string][]touch{}}
		r := rand.New(rand.NewPCG(13, 3))
		tried := 0
		for k, x := range touches {
			for state, d := range c.states(x, r) {
				if tried++; tried%oneIn(9) != 0 {
					continue
				}
				least := 0
				for _, a := range acknowledged {
					if a[0] <= k {
						least = a[1]
					}
				}
				requireCrashed(t, d, final, least, fmt.Sprintf("%s: %d of %d (%s %s): %s", name, k, len(touches), x.what, x.file, state))
			}
			c.do(x)
		}
		t.Logf("%s: %d writes, syncs and deletes, %d states", name, len(touches), tried)
	}
}

// renamed puts our own renaming, which the folder keeps at once, among what SQLite did: behind
// the last touch of the record under its other name.
func renamed(touches []touch) (all []touch) {
	const made = "job.arc" + newSuffix
	for k, x := range touches {
		all = append(all, x)
		if (x.file == made || x.file == made+"-journal") && (k+1 == len(touches) || !strings.HasPrefix(touches[k+1].file, made)) {
			all = append(all, touch{file: made, what: "rename", become: "job.arc"})
		}
	}
	return all
}

// requireCrashed holds what a crash left against what was there at the end.
func requireCrashed(t *testing.T, d disk, final [][]byte, least int, at string) {
	t.Helper()
	folder, err := os.MkdirTemp(t.TempDir(), "")
	require.NoError(t, err)
	defer func() { require.NoError(t, os.RemoveAll(folder)) }()
	for name, file := range d {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), file, 0o600))
	}
	path := filepath.Join(folder, "job.arc")
	if _, there := d["job.arc"]; !there {
		require.Zero(t, least, at)
		w, err := create(path, Meta{}, whenAsked())
		require.NoError(t, err, at)
		require.NoError(t, w.Close(), at)
	} else {
		require.NoError(t, Verify(path), at)
		left := heads(t, path)
		require.GreaterOrEqual(t, len(left), least, at)
		n := min(len(left), len(final)) // a commit of which nobody was told may be there
		require.Equal(t, final[:n], left[:n], at)
		w, err := appendTo(path, whenAsked())
		require.NoError(t, err, at)
		require.NoError(t, w.Close(), at)
		require.Equal(t, left, heads(t, path)[:len(left)], at)
	}
	require.NoError(t, Verify(path), at)
}

// Where the disk refuses to write or to sync, at any moment, who records is told, and the
// record is whole up to what was acknowledged.
func TestCrash_TheDiskFailsAtEveryWrite(t *testing.T) {
	if testing.Short() {
		t.Skip("it writes many records")
	}
	for name, test := range deeds(t) {
		for fails := 0; ; fails += oneIn(12) {
			folder := t.TempDir()
			path := filepath.Join(folder, "job.arc")
			if test.before != "" {
				file, err := os.ReadFile(test.before)
				require.NoError(t, err)
				require.NoError(t, os.WriteFile(path, file, 0o600))
			}
			watched(t, folder)
			watch.fails = fails
			least := 0
			err := test.deed(path, func() { least = len(heads(t, path)) })
			all := len(unwatched())
			at := fmt.Sprintf("%s: the disk fails behind %d", name, fails)
			if all < fails {
				require.NoError(t, err, at)
				break
			}
			d := disk{}
			names, globbed := filepath.Glob(path + "*")
			require.NoError(t, globbed)
			for _, name := range names {
				if d[filepath.Base(name)], err = os.ReadFile(name); err != nil {
					require.NoError(t, err)
				}
			}
			delete(d, "job.arc-shm")
			if _, there := d["job.arc"]; !there {
				require.Zero(t, least, at)
				continue
			}
			requireCrashed(t, d, heads(t, path), least, at)
		}
	}
}
