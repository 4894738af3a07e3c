package check

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
)

// day is a folder with the records of one day.
type day struct {
	t      *testing.T
	job    *jobfile.File
	folder string
	now    time.Time
}

func newDay(t *testing.T) *day {
	p, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.TwoTurns))
	require.NoError(t, err)
	return &day{t, p, t.TempDir(), time.Now().Truncate(time.Second)}
}

func (d *day) path(name string) string { return filepath.Join(d.folder, name+jobfile.RecordExtension) }

// made puts checks into a record of the folder.
func (d *day) made(name string, checks ...*calib.Check) {
	d.t.Helper()
	for _, c := range checks {
		_, missing := os.Stat(d.path(name))
		o := Options{Record: d.path(name)}
		require.NoError(d.t, o.write(d.job, c, missing == nil, d.now))
	}
}

// speaks has a box speak in a record.
func (d *day) speaks(name, serial string) {
	w, err := record.Append(d.path(name))
	require.NoError(d.t, err)
	require.NoError(d.t, w.Source(series.Source{Serial: serial, Port: "p", Channels: []series.Channel{{Name: "voltage", Scale: 1}, {Name: "current", Scale: 1}}}))
	require.NoError(d.t, w.Block(&series.Block{Kind: series.Arc, Step: 1, V: []int32{1}, I: []int32{1}}))
	require.NoError(d.t, w.Close())
}

func (d *day) site(name string) *Site {
	return &Site{Options: &Options{Record: d.path(name)}, Screen: terminal.Quiet(time.Now), Job: d.job, Now: d.now}
}

func (d *day) offers(name, from string) sheet.OfferList {
	d.t.Helper()
	list, err := d.site(name).Offers(from)
	require.NoError(d.t, err)
	return list
}

// meterOf is a check of a channel that was made some time ago with a box.
func (d *day) meterOf(channel, box string, ago time.Duration, change ...func(*calib.Check)) *calib.Check {
	c := &calib.Check{
		Subject: calib.MeterCheck, Channel: channel, Box: box, Done: d.now.Add(-ago), By: "Fitter", Sentence: "fine",
		Figures:     []calib.Figure{{Name: "reading", Unit: "V", Values: []float64{1, 2}}},
		Calibration: &calib.Calibration{Channel: channel, Gain: 1.2, Relative: 0.001, Box: box},
	}
	for _, f := range change {
		f(c)
	}
	return c
}

func whys(l sheet.OfferList) (all []string) {
	for _, r := range l.Refused {
		all = append(all, r.Why)
	}
	return all
}

func TestOffers(t *testing.T) {
	dated := func(due time.Time) func(*calib.Check) {
		return func(c *calib.Check) { c.Due = due.Format(time.DateOnly) }
	}
	d := newDay(t)
	for name, c := range map[string]struct {
		check *calib.Check
		why   string // empty is offered
	}{
		"of 3 h ago":         {d.meterOf("voltage", "A", 3*time.Hour), ""},
		"at the limit":       {d.meterOf("voltage", "A", 12*time.Hour), ""},
		"too old":            {d.meterOf("voltage", "A", 12*time.Hour+time.Minute), "it was made 12 h 1 min ago, which is more than 12 h 0 min"},
		"due today":          {d.meterOf("voltage", "A", time.Hour, dated(d.now.UTC())), ""},
		"past its due":       {d.meterOf("voltage", "A", time.Hour, dated(d.now.UTC().AddDate(0, 0, -1))), "it was due again on " + d.now.UTC().AddDate(0, 0, -1).Format(time.DateOnly)},
		"no serial":          {d.meterOf("voltage", "port /dev/p", time.Hour), "the box has no serial, and a port is no sign that it is the same box"},
		"of nobody":          {d.meterOf("voltage", "", time.Hour), "it names no box"},
		"of the future":      {d.meterOf("voltage", "A", -time.Hour), "it was done in the future"},
		"taken over":         {d.meterOf("voltage", "A", time.Hour, func(c *calib.Check) { c.TakenOver = &calib.TakenOver{Record: "x.arctally"} }), "it was itself taken over from x.arctally: take it over from there"},
		"of the wire feeder": {d.meterOf("wire_speed", "W", time.Hour), ""},
	} {
		own := newDay(t)
		own.now = d.now
		own.made("first", c.check)
		list := own.offers("second", "")
		if c.why == "" {
			require.Len(t, list.Offers, 1, name)
			assert.Empty(t, list.Refused, name)
			continue
		}
		assert.Empty(t, list.Offers, name)
		assert.Equal(t, []string{c.why}, whys(list), name)
	}
}

// Only the latest of a subject, channel and box is offered; what is about no box is not
// spoken of.
func TestOffers_theLatest(t *testing.T) {
	d := newDay(t)
	d.made("first", d.meterOf("voltage", "A", 3*time.Hour), d.meterOf("voltage", "B", 2*time.Hour), d.meterOf("current", "A", 2*time.Hour),
		d.meterOf("voltage", "A", time.Hour), &calib.Check{Subject: calib.CentringCheck, Done: d.now, By: "x"})
	var numbers []int
	for _, o := range d.offers("second", "").Offers {
		numbers = append(numbers, o.Number)
	}
	assert.Equal(t, []int{2, 3, 4}, numbers)
	assert.Empty(t, d.offers("first", "").Offers, "a record has nothing to take from itself")
}

// Of a record that was tampered with nothing is offered, and one that is none is named.
func TestOffers_damaged(t *testing.T) {
	d := newDay(t)
	d.made("first", d.meterOf("voltage", "A", time.Hour))
	raw, err := os.ReadFile(d.path("first"))
	require.NoError(t, err)
	at := -1
	for k := range raw[:len(raw)-6] {
		if string(raw[k:k+6]) == "Fitter" {
			at = k
		}
	}
	require.Positive(t, at)
	copy(raw[at:], "Tampet")
	require.NoError(t, os.WriteFile(d.path("first"), raw, 0o600))
	require.NoError(t, os.WriteFile(d.path("none"), []byte("no record"), 0o600))
	list := d.offers("second", "")
	assert.Empty(t, list.Offers)
	require.Len(t, list.Refused, 2)
	assert.Contains(t, list.Refused[0].Why, "its chain does not verify")
	assert.Equal(t, "none.arctally", list.Refused[1].From)
}

// A check is taken over as it is, with a reference, and once.
func TestTakeOver(t *testing.T) {
	d := newDay(t)
	first := d.meterOf("voltage", "A", 3*time.Hour)
	d.made("first", first)
	d.speaks("first", "A")
	c, err := d.site("second").TakeOver(d.path("first"), 1, "Fitter 2")
	require.NoError(t, err)
	r, err := record.Open(d.path("first"))
	require.NoError(t, err)
	head, err := r.Fingerprint()
	require.NoError(t, err)
	require.NoError(t, r.Close())
	assert.Equal(t, &calib.TakenOver{Record: "first.arctally", Fingerprint: head, Number: 1, At: d.now.UTC(), By: "Fitter 2"}, c.TakenOver)
	list, err := Read(d.path("second"))
	require.NoError(t, err)
	require.Len(t, list.Checks, 1)
	kept := *list.Checks[0]
	kept.TakenOver = nil
	want := *first
	want.Done = want.Done.UTC()
	kept.Done = kept.Done.UTC()
	assert.Equal(t, want, kept, "figures, person and time are those of the first")
	require.NoError(t, record.Verify(d.path("second")))

	_, err = d.site("second").TakeOver(d.path("first"), 1, "Fitter 2")
	require.ErrorContains(t, err, "a check of voltage that is not older is on record here")
	_, err = d.site("second").TakeOver(d.path("first"), 7, "Fitter 2")
	require.ErrorContains(t, err, "there is no check 7 of a channel there")

	d.made("third", d.meterOf("voltage", "X", 20*time.Hour))
	d.speaks("third", "B")
	assert.Equal(t, []string{"it is of box A, and box B speaks in this record"}, whys(d.offers("third", d.path("first"))))
	d.speaks("second", "A")
	d.made("fourth", d.meterOf("current", "A", time.Hour))
	assert.Len(t, d.offers("second", d.path("fourth")).Offers, 1, "the same box speaks in it")
}

// A check may be of one box only, and of the one that is named.
func TestSite_hears(t *testing.T) {
	d := newDay(t)
	site := d.site("first")
	in, err := Kinds[0].Read([]string{"channel=voltage"})
	require.NoError(t, err)
	require.NoError(t, site.hears(in, "A"))
	require.NoError(t, site.hears(in, "A"))
	require.ErrorContains(t, site.hears(in, "B"), "the box changed during the check: box B in place of box A; nothing is kept of the check")
	in.Values["box"] = "C"
	require.ErrorContains(t, d.site("first").hears(in, "A"), "box=C: box A is on the port")
}

// What is in force for the zero of a box is what was found of that box.
func TestSite_calibrationOfTheBox(t *testing.T) {
	d := newDay(t)
	d.made("first", d.meterOf("voltage", "A", time.Hour), d.meterOf("voltage", "B", time.Hour, func(c *calib.Check) { c.Calibration.Gain = 3 }))
	for box, want := range map[string]float64{"A": 1.2, "B": 3, "C": 0, "": 3} {
		site := d.site("first")
		_, err := site.look()
		require.NoError(t, err)
		site.box = box
		assert.Equal(t, want, site.calibration("voltage").Gain, box)
	}
}
