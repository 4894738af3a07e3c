package record

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/seal"
	"arctally/acquire/series"
)

// keys are those with which tests seal, made once.
var keys = sync.OnceValues(func() (made [3]*seal.Key, err error) {
	dir, err := os.MkdirTemp("", "keys")
	if err != nil {
		return made, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(dir)) }()
	for k, name := range []string{"Inspector 1", "Inspector 2"} {
		if made[k], err = seal.Folder(dir).Person(name, true); err != nil {
			return made, err
		}
	}
	made[2], err = seal.Folder(dir).Machine()
	return made, err
})

func keysOf(t *testing.T) (machine, inspector, other *seal.Key) {
	t.Helper()
	made, err := keys()
	require.NoError(t, err)
	return made[2], made[0], made[1]
}

// hand is a clock that stands until somebody moves it.
type hand struct{ at time.Time }

func (h *hand) options() options {
	return options{now: func() time.Time { return h.at }, limit: queueLimit, beat: make(chan time.Time)}
}

func newHand() *hand { return &hand{time.Unix(1_800_000_000, 0).UTC()} }

// goOn records some seconds, one group each.
func goOn(t *testing.T, w *Writer, h *hand, from, seconds int64) {
	t.Helper()
	for k := from; k < from+seconds; k++ {
		b := arcBlock(10)
		b.Tick = k * 1_000_000_000
		require.NoError(t, w.Block(b))
		require.NoError(t, w.Sync())
		h.at = h.at.Add(time.Second)
	}
}

// sealedRecord makes a record of 130 s with two entries, one of which its person sealed.
func sealedRecord(t *testing.T) string {
	return onceMade(t, &sealedOnce, func(t *testing.T, path string) {
		machine, inspector, _ := keysOf(t)
		h := newHand()
		w, err := create(path, Meta{Job: "j", Documents: map[string]string{"job.yaml": "job: j\n"}}, h.options())
		require.NoError(t, err)
		w.SealWith(machine)
		require.NoError(t, w.Source(box()))
		require.NoError(t, w.Calibration(calib.Calibration{Channel: "voltage", Gain: 1}, 0, 0))
		goOn(t, w, h, 0, 130)
		_, err = w.Entries([]Entry{{Kind: "disposition", At: h.at, By: "Inspector 1", Text: "{}", Key: inspector}})
		require.NoError(t, err)
		require.NoError(t, w.Sync())
		_, err = w.Entry("disposition", "Inspector 1", h.at, "{}")
		require.NoError(t, err)
		require.NoError(t, w.Close())
	})
}

var sealedOnce madeRecord

// sealsOf verifies a record that is whole.
func sealsOf(t *testing.T, path string) *Sealing {
	t.Helper()
	r, err := Open(path)
	require.NoError(t, err)
	s, err := r.VerifySeals()
	require.NoError(t, err)
	require.NoError(t, r.Close())
	return s
}

// marksOf are the seals in short words.
func marksOf(s *Sealing) (all []string) {
	for _, one := range s.Seals {
		all = append(all, fmt.Sprintf("%s %d by %s", one.Mark, one.Group, one.By))
	}
	return all
}

func TestSeals_AtStartEveryMinuteAtEntriesAndAtTheEnd(t *testing.T) {
	machine, inspector, _ := keysOf(t)
	s := sealsOf(t, sealedRecord(t))
	name := machine.Name
	require.Equal(t, []string{
		"start 1 by " + name, "minute 61 by " + name, "minute 121 by " + name,
		"entry 132 by Inspector 1", "entry 134 by " + name, "end 135 by " + name,
	}, marksOf(s))
	require.True(t, s.Ended())
	require.Zero(t, s.Open())
	require.Empty(t, s.Reopened())
	require.Empty(t, s.Backwards)
	require.Equal(t, int64(136), s.Groups)
	require.Equal(t, inspector.Public(), s.Seals[3].Key)
	require.Equal(t, []int64{1}, s.Seals[3].Entries)
	require.Equal(t, machine.Public(), s.Seals[5].Key)

	entries := entriesOf(t, sealedRecord(t))
	require.Equal(t, []string{inspector.Public().Fingerprint(), ""}, []string{entries[0].Signed, entries[1].Signed}, "a signed name, and a typed one")
}

// Who goes on opens the record again, and that is seen; who only looks changes nothing.
func TestSeals_GoingOnOpensTheRecord(t *testing.T) {
	machine, _, _ := keysOf(t)
	path := sealedRecord(t)
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	w, err := Amend(path)
	require.NoError(t, err)
	w.SealWith(machine)
	require.NoError(t, w.Close())
	require.Len(t, sealsOf(t, path).Seals, 6)
	require.NoError(t, os.WriteFile(path, before, 0o600))

	w, err = Append(path)
	require.NoError(t, err)
	require.NoError(t, w.Close()) // without a key
	s := sealsOf(t, path)
	require.False(t, s.Ended())
	require.Equal(t, int64(2), s.Open(), "the group of the end mark, and what came after it")
	require.Len(t, s.Reopened(), 1)

	w, err = Append(path)
	require.NoError(t, err)
	w.SealWith(machine)
	require.NoError(t, w.Close())
	s = sealsOf(t, path)
	require.True(t, s.Ended())
	require.Equal(t, []string{"start 137 by " + machine.Name, "end 138 by " + machine.Name}, marksOf(s)[6:])
	require.Len(t, s.Reopened(), 1)
}

// What a person signed is shown as signed only while it is what he signed, even by who does
// not verify the record first.
func TestSeals_AnEntryThatWasEditedIsNotSigned(t *testing.T) {
	_, inspector, _ := keysOf(t)
	signed := []string{inspector.Public().Fingerprint(), ""}
	nobody := []string{"", ""}
	for name, test := range map[string]struct {
		statements string
		want       []string
	}{
		"nothing":                {"UPDATE meta SET key = key", signed},
		"its text":               {"UPDATE entries SET text = '{\"a\":1}' WHERE commit_number = 132", nobody},
		"its time":               {"UPDATE entries SET at = at - 1 WHERE commit_number = 132", nobody},
		"its name":               {"UPDATE entries SET \"by\" = 'Inspector 2' WHERE commit_number = 132", nobody},
		"its kind":               {"UPDATE entries SET kind = 'machining' WHERE commit_number = 132", nobody},
		"a second one beside it": {"INSERT INTO entries (id, kind, at, \"by\", text) VALUES (132000002, 'disposition', 1, 'Inspector 1', '{}')", []string{"", "", ""}},
		"the group's own hash":   {"UPDATE commits SET hash = zeroblob(32) WHERE number = 132", signed}, // the rows are those that he signed; Verify tells the rest
		"the job":                {"UPDATE meta SET value = 'k' WHERE key = 'job'", nobody},
		"the seal moved":         {"UPDATE seals SET id = 134000001 WHERE commit_number = 133", nobody},
	} {
		path := sealedRecord(t)
		alter(t, path, test.statements)
		var got []string
		for _, e := range entriesOf(t, path) {
			got = append(got, e.Signed)
		}
		require.Equal(t, test.want, got, name)
	}
}

func TestSeals_AnOldRecordIsWholeAndNotSealed(t *testing.T) {
	machine, _, _ := keysOf(t)
	for name := range frozenHeads {
		if strings.HasPrefix(name, "version-4") {
			continue // it is sealed
		}
		path := frozen(t, name)
		s := sealsOf(t, path)
		require.Empty(t, s.Seals)
		require.Equal(t, s.Groups, s.Open())
		require.False(t, s.Ended())
		require.Empty(t, s.Backwards, "nobody is accused")
		w, err := Append(path)
		require.NoError(t, err)
		w.SealWith(machine)
		require.NoError(t, w.Close())
		require.True(t, sealsOf(t, path).Ended(), name)
	}
}

// rebuild makes the chain anew, as a forger does who knows the format.
func rebuild(t *testing.T, path string) {
	t.Helper()
	meddle(t, path, func(db *sql.DB) {
		_, err := db.Exec("PRAGMA synchronous = OFF; PRAGMA busy_timeout = 10000")
		require.NoError(t, err)
		r := &Reader{path: path, db: db}
		v := rechain{reader: r, chain: newChain(), tables: tablesOf(latestVersion), take: func(*table, []any) {}}
		require.NoError(t, v.prepare())
		var all [][]any
		require.NoError(t, r.each("SELECT "+commitColumns+" FROM commits WHERE number > 0 ORDER BY number", nil, func(scan func(...any) error) error {
			columns := make([]any, 10)
			all = append(all, columns)
			return scan(pointers(columns)...)
		}))
		for k, columns := range all {
			former := v.chain.head
			_, err := v.hash(int64(k+1), columns) // to count the rows
			require.NoError(t, err)
			columns[8], v.chain.head = v.chain.rows, former
			head, err := v.hash(int64(k+1), columns)
			require.NoError(t, err)
			all[k][9] = bytes.Clone(head)
		}
		v.close()
		_, err = db.Exec("BEGIN")
		require.NoError(t, err)
		for _, columns := range all {
			_, err := db.Exec("UPDATE commits SET rows = ?, hash = ? WHERE number = ?", columns[8], columns[9], columns[0])
			require.NoError(t, err)
		}
		_, err = db.Exec("COMMIT")
		require.NoError(t, err)
	})
}

// cut removes groups [from, until).
func cut(from, until int64) string {
	statements := fmt.Sprintf("DELETE FROM commits WHERE number >= %d AND number < %d;", from, until)
	for _, table := range tablesOf(latestVersion) {
		statements += fmt.Sprintf("DELETE FROM %s WHERE id >= %d AND id < %d;", table.name, from*idsPerCommit, until*idsPerCommit)
	}
	return statements
}

// copied adds a group with a copy of a seal.
func copied(to int64, where string) string {
	return fmt.Sprintf(`INSERT INTO commits SELECT %d, wall + 1, 0, NULL, NULL, 0, 0, 0, 1, NULL FROM commits ORDER BY number DESC LIMIT 1;
		INSERT INTO seals (id, text, signature) SELECT %d, text, signature FROM seals WHERE %s ORDER BY id DESC LIMIT 1`, to, to*idsPerCommit+1, where)
}

// A clock that was set back while it was recorded is told, and the seals go on.
func TestForgeries_TheClockSetBack(t *testing.T) {
	machine, _, _ := keysOf(t)
	path := filepath.Join(t.TempDir(), "back.arc")
	h := newHand()
	w, err := create(path, Meta{Job: "j"}, h.options())
	require.NoError(t, err)
	w.SealWith(machine)
	goOn(t, w, h, 0, 3)
	h.at = h.at.Add(-time.Hour - time.Second)
	goOn(t, w, h, 3, 2)
	h.at = h.at.Add(-2 * time.Second) // a second before the group before
	goOn(t, w, h, 5, 1)
	require.NoError(t, w.Close())
	s := sealsOf(t, path)
	require.Equal(t, []int64{5}, s.Backwards, "a second is not")
	require.Equal(t, []string{"start 1 by " + machine.Name, "minute 4 by " + machine.Name, "end 7 by " + machine.Name}, marksOf(s))
}

// A seal of a person who put nothing there vouches for nothing.
func TestForgeries_ASealOfEntriesThatAreNotThere(t *testing.T) {
	machine, inspector, other := keysOf(t)
	for name, test := range map[string]struct {
		key     *seal.Key
		by      string
		numbers []int64
		good    bool
	}{
		"his own":           {inspector, "Inspector 1", []int64{1}, true},
		"of the machine":    {machine, "Inspector 1", []int64{1}, true},
		"somebody else's":   {other, "Inspector 1", []int64{1}, false},
		"one that is not":   {inspector, "Inspector 1", []int64{2}, false},
		"one before":        {inspector, "Inspector 1", []int64{0}, false},
		"one below":         {inspector, "Inspector 1", []int64{-1}, false},
		"his own and more":  {inspector, "Inspector 1", []int64{1, 2}, false},
		"none":              {inspector, "Inspector 1", nil, false},
		"none of a machine": {machine, "Inspector 1", nil, false},
	} {
		t.Run(name, func(t *testing.T) {
			w, path := unhurried(t)
			w.SealWith(machine)
			_, err := w.Entry("disposition", test.by, time.Unix(7, 0), "{}")
			require.NoError(t, err)
			require.NoError(t, w.Sync())
			c := w.commit // nobody else uses it while nothing is added
			c.chainBack(t, path)
			require.NoError(t, c.transaction(func() error {
				return c.numbered(new(group), func() error { return c.seal(test.key, seal.Entry, test.numbers) })
			}))
			require.NoError(t, w.Close())
			err = Verify(path)
			if test.good {
				require.NoError(t, err)
				return
			}
			requireKind(t, Altered, err)
		})
	}
}

// chainBack takes the group of the last seal away.
func (c *committer) chainBack(t *testing.T, path string) {
	t.Helper()
	alterSchema(t, path, fmt.Sprintf("DELETE FROM commits WHERE number = %d; DELETE FROM seals WHERE commit_number = %d", c.number, c.number))
	require.NoError(t, c.lastHash(t.Context()))
}

const sealedMinutes = 10

// What sealing costs beside ten minutes of recording: a signature and a row in a minute, and
// at the end a commit more. Both are recorded in turns, each going first as often, and compared
// in processor time.
func BenchmarkSeal(b *testing.B) {
	made, err := keys()
	require.NoError(b, err)
	v, i := dippingArc(600_000, 1, 1)
	var with, without stopwatch
	record := func(k *seal.Key, into *stopwatch) {
		h := newHand()
		w, err := create(filepath.Join(b.TempDir(), "job.arc"), Meta{}, h.options())
		require.NoError(b, err)
		if k != nil {
			w.SealWith(k)
		}
		into.run(b, func() {
			for second := range 60 * sealedMinutes {
				at := second * 10_000 % len(v)
				require.NoError(b, w.Block(&series.Block{Kind: series.Arc, Tick: int64(second) * 1e9, Step: 100_000, V: v[at : at+10_000], I: i[at : at+10_000]}))
				require.NoError(b, w.Sync())
				h.at = h.at.Add(time.Second)
			}
			require.NoError(b, w.Close())
		})
	}
	for b.Loop() {
		record(made[2], &with)
		record(nil, &without)
		record(nil, &without)
		record(made[2], &with)
	}
	minutes := 2 * sealedMinutes * float64(b.N)
	b.ReportMetric(with.cpu.Seconds()*1000/minutes, "sealed-cpu-ms/minute")
	b.ReportMetric(without.cpu.Seconds()*1000/minutes, "bare-cpu-ms/minute")
	b.ReportMetric(100*(with.cpu.Seconds()/without.cpu.Seconds()-1), "%-for-seals")
	b.ReportMetric(0, "ns/op") // says nothing here: it holds both
}

// How fast a record is verified, beside a bare read of all of its samples.
func BenchmarkVerify(b *testing.B) {
	s := demoSignal(b)
	path := filepath.Join(b.TempDir(), "bench.arc")
	writeLive(b, path, s)
	var bare, whole stopwatch
	for b.Loop() {
		bare.run(b, func() {
			if n := readAll(b, path); n != len(s.v) {
				b.Fatal("samples read:", n)
			}
		})
		whole.run(b, func() { require.NoError(b, Verify(path)) })
	}
	report(b, len(s.v)+len(s.i), whole, bare)
}
