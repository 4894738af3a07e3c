package live

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/event"
	"arctally/analyze/finding"
	"arctally/analyze/now"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
	"arctally/analyze/rotation"
)

// strip20ms adds to a roll two seconds of one sample every 10 ms.
func strip20ms(t *testing.T, from int64, gap bool, s *Roll) {
	t.Helper()
	b := series.Block{Kind: series.Arc, Epoch: s.epoch, Break: gap, Tick: from, Step: int64(10 * time.Millisecond)}
	for k := range 200 {
		b.V, b.I = append(b.V, int32(1000+k)), append(b.I, int32(-k))
	}
	s.Block(&b)
}

func TestRoll(t *testing.T) {
	s := NewRoll(1, calib.Register{All: []calib.Timed{
		{Calibration: calib.Calibration{Channel: "voltage", Gain: 2, Offset: 1}}, {Calibration: calib.Calibration{Channel: wireChannel, Gain: 0.5}},
	}})
	source := series.Source{Name: "box", Channels: []series.Channel{
		{Name: "voltage", Unit: "V", Scale: 0.01}, {Name: "current", Unit: "A", Scale: 0.1}, {Name: "wire_speed", Unit: "m/s", Scale: 1},
	}}
	s.Source(source)
	strip20ms(t, 0, false, s)
	s.Block(&series.Block{Kind: series.Slow, Step: 1, Channel: []uint8{2, 2}, Value: []float64{0.1, 0.1}, Ticks: []int64{100e6, 200e6}})
	told, any := s.News("r")
	require.True(t, any)
	require.Len(t, told.Lines, 3)
	v := told.Lines[0]
	assert.InDelta(t, 0.05, told.Step, 0)
	require.Len(t, v.At, 39, "the last stretch is still open")
	scale := source.Channels[0].Scale
	assert.InDelta(t, 2*1000*scale+1, *v.Low[0], 1e-9)
	assert.InDelta(t, 2*1004*scale+1, *v.High[0], 1e-9)
	assert.InDelta(t, 2*1002*scale+1, *v.Mean[0], 1e-9)
	assert.InDelta(t, 0.05, v.At[1], 1e-12)
	assert.Equal(t, wireUnit, told.Lines[2].Unit)
	assert.InDelta(t, 3, *told.Lines[2].Mean[0], 1e-9, "0.1 m/s, halved")
	_, any = s.News("r")
	assert.False(t, any)

	strip20ms(t, 10e9, true, s)
	told, _ = s.News("r")
	assert.Nil(t, told.Lines[0].Mean[1], "where something is missing the line breaks")
	assert.Len(t, s.All("r").Lines[0].At, 39+1+1+39)
	for k := range int64(40) {
		strip20ms(t, 20e9+2e9*k, false, s)
		s.News("r")
	}
	assert.LessOrEqual(t, len(s.All("r").Lines[0].At), stripCells)
	s.Block(&series.Block{Kind: series.Sums, Epoch: 1, Tick: 0, Step: 100_000, Sum: series.WindowSums{Count: 10, V: 1000, VMin: 90, VMax: 110}})
	s.Block(&series.Block{Kind: series.Sums, Epoch: 1, Tick: 1e9, Step: 100_000, Sum: series.WindowSums{Count: 10, V: 1000, VMin: 90, VMax: 110}})
	told, _ = s.News("r")
	assert.Equal(t, 1, told.Epoch)
	assert.InDelta(t, 2*100*scale+1, *told.Lines[0].Mean[0], 1e-9, "the former epoch has gone")
}

// TestRoll_Raw: a calibration that makes next to nothing of a reading hides it from the
// judgement, and from nobody who looks.
func TestRoll_Raw(t *testing.T) {
	s := NewRoll(1, calib.Register{All: []calib.Timed{{Calibration: calib.Calibration{Channel: "voltage", Gain: 0.099}}, {Calibration: calib.Calibration{Channel: "current", Gain: 0.1}}}})
	assert.Nil(t, s.Raw(), "before a source has spoken")
	s.Source(series.Source{Name: "box", Channels: []series.Channel{{Name: "voltage", Unit: "V", Scale: 0.01}, {Name: "current", Unit: "A", Scale: 0.1, Offset: 5}}})
	assert.Nil(t, s.Raw(), "before there are samples")
	strip20ms(t, 0, false, s)
	raw := s.Raw()
	require.NotNil(t, raw)
	// Samples stand 10 ms apart, and the newest half second has 1150 to 1199 of them.
	assert.InDelta(t, 0.01*1174.5, raw.Voltage, 1e-9)
	assert.InDelta(t, -0.1*174.5+5, raw.Current, 1e-9)
	s.Source(series.Source{Name: "another", Channels: []series.Channel{{Name: "voltage", Unit: "V", Scale: 1}, {Name: "current", Unit: "A", Scale: 1}}})
	assert.Nil(t, s.Raw(), "what another box has read is gone")
}

func TestRoll_WiderAtSpeed(t *testing.T) {
	for speed, want := range map[float64]time.Duration{0.5: 50 * time.Millisecond, 10: 50 * time.Millisecond, 120: 300 * time.Millisecond} {
		s := NewRoll(speed, calib.Register{})
		assert.EqualValues(t, want, s.step, speed)
		assert.LessOrEqual(t, speed*float64(Every)/float64(s.step), float64(CellsPerEvent))
	}
}

func TestHearing(t *testing.T) {
	now := time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	h := NewHearing("port", func() time.Time { return now })
	assert.Equal(t, LinkGood, h.Link().State, "there was no time yet for a byte")
	assert.Nil(t, h.Link().Silent)
	now = now.Add(3 * time.Second)
	assert.Equal(t, LinkSilent, h.Link().State)
	for k := range int64(12) {
		h.Block(&series.Block{Kind: series.Arc, Tick: k * 1e8, Step: 1e5, V: make([]int32, 1000), I: make([]int32, 1000)})
	}
	h.Account(Received{Frames: 1})
	l := h.Link()
	assert.Equal(t, LinkGood, l.State)
	require.NotNil(t, l.Rate)
	assert.InDelta(t, 10000, *l.Rate, 1)
	h.Account(Received{Frames: 2, Lost: 3, Gaps: 1})
	l = h.Link()
	assert.Equal(t, LinkDoubtful, l.State)
	assert.Contains(t, l.Words, "3 frames were lost")
	for range 11 {
		now = now.Add(time.Second)
		h.Account(Received{Frames: 3, Lost: 3, Gaps: 1})
	}
	assert.Equal(t, LinkGood, h.Link().State)
	assert.InDelta(t, 11, *h.Link().Silent, 1e-9)
	h.Event(series.Event{Kind: series.Unplugged, Text: "gone"})
	assert.Equal(t, LinkUnplugged, h.Link().State)
	h.Event(series.Event{Kind: series.Replugged})
	assert.Equal(t, LinkDoubtful, h.Link().State)
}

func TestBoard_CoversInTheDirectionOfTheTorch(t *testing.T) {
	b := &Board{}
	over := now.Sector{From: 350, To: 20}
	assert.True(t, b.covers(over, 5))
	assert.False(t, b.covers(over, 180))
	b.turn(&Place{Angle: new(100.0)})
	b.turn(&Place{Angle: new(90.0)})
	assert.False(t, b.covers(over, 5), "the other way round it is the rest of the circle")
	assert.True(t, b.covers(over, 180))
}

// What is seen between passes is shown, and taken away with all other values.
func TestBoard_Seen(t *testing.T) {
	b := NewBoard(State{}, &procedure.Job{})
	b.Show(&now.Status{Seen: "the wire feeds"}, now.Turn{}, &series.Source{}, time.Time{})
	assert.Equal(t, "the wire feeds", *b.Seen)
	b.Stumble("")
	assert.Nil(t, b.Seen)
	b.Show(&now.Status{}, now.Turn{}, &series.Source{}, time.Time{})
	assert.Nil(t, b.Seen)
}

// The place says how well its angle is known, and in a pass what it rests on.
func TestPlace_saysWhatItsAngleRestsOn(t *testing.T) {
	assert.Nil(t, place(&now.Status{}))
	said := &now.Status{Where: &now.Where{Angle: 30, AngleUncertainty: 6.1}, Pass: &now.Progress{}}
	said.Pass.Rotation = rotation.Account{Angle: rotation.BySaid, Said: &rotation.Said{By: "Operator 1"}}
	told := place(said)
	assert.Equal(t, new(6.1), told.AngleUncertainty)
	assert.Equal(t, new("by what Operator 1 said"), told.AngleBy)
	said.Pass, said.Where.AngleUncertainty = nil, rotation.NoAngle
	told = place(said)
	assert.Equal(t, new(30.0), told.Angle)
	assert.Nil(t, told.AngleUncertainty, "nothing is known of it")
	assert.Nil(t, told.AngleBy)
}

// Live tells of events as the review does: the findings so far, by their causes.
func TestBoard_Events(t *testing.T) {
	at := func(number int, rule finding.Rule, worst float64) finding.Finding {
		return finding.Finding{Number: number, Rule: rule, Pass: 1, Start: pass.Moment{Tick: 10e9}, Duration: 3, Worst: worst, Limit: 10}
	}
	findings := []finding.Finding{at(1, finding.Current, 5), at(2, finding.WireSpeed, 5), at(3, finding.LeftOut, 20)}
	b := new(Board)
	b.Take(analyze.Result{Findings: findings, Events: event.Group(findings)})
	require.Len(t, b.whole.findings, 3)
	assert.Equal(t, 2, b.whole.events)
	assert.Equal(t, Finding{Rule: "current", Event: 1, Cause: string(event.Slip), Pass: 1}, b.whole.findings[2])
	assert.Equal(t, 1, b.whole.findings[1].Event)
	assert.Equal(t, string(event.Restart), b.whole.findings[0].Cause)
}
