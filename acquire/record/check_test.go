package record

import (
	"database/sql"
	"maps"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
)

// meterCheck is a check of the voltage against a meter.
func meterCheck(t *testing.T) *calib.Check {
	t.Helper()
	c, err := calib.Meter{
		Channel: "voltage", Unit: "V", Reading: []float64{10, 20, 30}, Reference: []float64{10.1, 20.3, 30.2}, ReferenceU: 0.05,
	}.Check()
	require.NoError(t, err)
	c.Done, c.By, c.Instrument = time.Date(2026, 5, 4, 7, 40, 0, 0, time.UTC), "Operator 1", "meter 3"
	return c
}

func amend(t *testing.T, path string, checks ...*calib.Check) {
	t.Helper()
	w, err := reopen(path, whenAsked())
	require.NoError(t, err)
	for _, c := range checks {
		require.NoError(t, w.Check(c))
	}
	require.NoError(t, w.Close())
}

// A check in an empty record holds for all of it; one that comes after samples
// holds from the next one on.
func TestWriter_Check(t *testing.T) {
	path := filepath.Join(t.TempDir(), "job.arctally")
	w, err := Create(path, Meta{Job: "Job", Documents: map[string]string{"job.yaml": "job: Job"}})
	require.NoError(t, err)
	require.NoError(t, w.Close())
	first, second, third := meterCheck(t), meterCheck(t), meterCheck(t)
	third.Calibration = nil
	amend(t, path, first)

	w, err = appendTo(path, whenAsked())
	require.NoError(t, err)
	require.NoError(t, w.Source(box()))
	b := arcBlock(10)
	b.Epoch, b.Tick = 3, 5
	require.NoError(t, w.Block(b))
	require.NoError(t, w.Close())
	amend(t, path, second, third)
	require.NoError(t, Verify(path))

	r, err := Open(path)
	require.NoError(t, err)
	checks, err := r.Checks()
	require.NoError(t, err)
	require.Equal(t, []*calib.Check{first, second, third}, checks)
	require.Equal(t, [2]int64{0, 0}, [2]int64{int64(first.Epoch), first.Tick})
	require.Equal(t, [2]int64{3, b.At(9) + 1}, [2]int64{int64(second.Epoch), second.Tick})
	calibrations, err := r.Calibrations()
	require.NoError(t, err)
	require.Equal(t, []calib.Timed{
		{Calibration: *first.Calibration}, {Calibration: *second.Calibration, Epoch: 3, Tick: b.At(9) + 1},
	}, calibrations)
	events, err := r.Events()
	require.NoError(t, err)
	require.Len(t, events, 1, "going on leaves an event, a check leaves none: %v", events)
	require.Equal(t, "job: Job", r.Meta().Documents["job.yaml"])
	require.Equal(t, []string{"check-2-1.json", "check-5-1.json", "check-5-2.json", "job.yaml"}, slices.Sorted(maps.Keys(r.Meta().Documents)))
	require.NoError(t, r.Close())
}

// A check is under the chain: nobody changes it afterwards unseen.
func TestVerify_seesAChangedCheck(t *testing.T) {
	path := smallRecord(t)
	amend(t, path, meterCheck(t))
	require.NoError(t, Verify(path))
	change(t, path, `UPDATE documents SET text = replace(text, '20.3', '20.2') WHERE name LIKE 'check-%'`)
	var altered *Error
	require.ErrorAs(t, Verify(path), &altered)
	require.Equal(t, Altered, altered.Kind)

	change(t, path, `UPDATE documents SET text = 'no JSON' WHERE name LIKE 'check-%'`)
	r, err := Open(path)
	require.NoError(t, err)
	_, err = r.Checks()
	require.ErrorAs(t, err, &altered)
	require.Equal(t, Damaged, altered.Kind)
	require.NoError(t, r.Close())
}

// change carries out a statement behind the back of the package.
func change(t *testing.T, path, statement string) {
	t.Helper()
	db, err := sql.Open("sqlite", path)
	require.NoError(t, err)
	_, err = db.ExecContext(t.Context(), statement)
	require.NoError(t, err)
	require.NoError(t, db.Close())
}

func TestAmend_refusesWhatIsNotThere(t *testing.T) {
	_, err := Amend(filepath.Join(t.TempDir(), "none"))
	var missing *Error
	require.ErrorAs(t, err, &missing)
	require.Equal(t, Missing, missing.Kind)
}

// Who speaks is asked at every look at a record. Of a source that was there from the beginning no
// group came before, and none of those that came later is read to find that out.
func TestReader_Speakers_ReadNoGroups(t *testing.T) {
	r, err := Open(filepath.Join("..", "..", "testdata", "record", "version-4-box.arctally"))
	require.NoError(t, err)
	var plan []string
	require.NoError(t, r.each("EXPLAIN QUERY PLAN "+speakersQuery, nil, func(scan func(...any) error) error {
		var id, parent, unused int
		var step string
		err := scan(&id, &parent, &unused, &step)
		plan = append(plan, step)
		return err
	}))
	require.NoError(t, r.Close())
	require.Contains(t, plan, "SEARCH b USING INDEX commits_by_epoch (epoch=? AND rowid<?)")
}
