package live

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/now"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// morning is when the tests begin to look on.
var morning = time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)

// watching is a board of a recording, and a way to show it what is out at a second.
func watching() (b *Board, show func(second float64, open ...finding.Open)) {
	b = NewBoard(State{Record: "r"}, &procedure.Job{})
	return b, func(second float64, open ...finding.Open) {
		s := &now.Status{Any: true, Moment: pass.Moment{Tick: int64(second * 1e9)}, Deviations: open, ArcOn: true}
		b.Show(s, now.Turn{}, &series.Source{}, morning.Add(time.Duration(second*1e9)))
	}
}

// high is a voltage that has been high since a second.
func high(since, lasted, volts float64) finding.Open {
	return finding.Open{
		Rule: finding.Voltage, Since: pass.Moment{Tick: int64(since * 1e9)}, Lasted: quantity.Seconds(lasted),
		Place: &bore.Place{Angle: 30, Depth: 0.002, AngleUncertainty: 4}, Value: volts, Worst: max(volts, 21), Limit: 19, Beyond: volts - 19,
	}
}

// What is out is told before it is a finding, stays with its worst value once it is over, and
// goes as somebody has seen it.
func TestAlarm_LatchesUntilItWasSeen(t *testing.T) {
	b, show := watching()
	show(10.2, high(10, 0.2, 20))
	assert.Empty(t, b.Alarms, "nobody could have read it")
	show(10.4, high(10, 0.4, 20))
	require.Len(t, b.Alarms, 1)
	a := b.Alarms[0]
	assert.Equal(t, Alarm{
		ID: 1, Rule: "voltage", Sign: 1, Words: "voltage 20.0 V, limit 19.0 V", Value: new(20.0), Limit: new(19.0), Unit: "V",
		Began: "2026-05-04T08:00:10.000000Z", Lasted: 0.4, Angle: new(30.0), AngleUncertainty: new(4.0), Depth: new(2.0), Now: true,
	}, a)
	show(11, high(10, 1, 19.5))
	assert.Equal(t, 19.5, *b.Alarms[0].Value, "the present value while it is out")
	show(12)
	require.Len(t, b.Alarms, 1, "it is over, and nobody has seen it")
	a = b.Alarms[0]
	assert.False(t, a.Now)
	assert.False(t, a.Finding)
	assert.Equal(t, 21.0, *a.Value, "the worst")
	assert.Equal(t, 1.0, a.Lasted)
	b.Touch([]int64{7}, false)
	assert.Len(t, b.Alarms, 1, "another one was seen")
	b.Touch([]int64{1}, false)
	assert.Empty(t, b.Alarms)
	show(13, high(12.5, 0.5, 20))
	assert.Equal(t, int64(2), b.Alarms[0].ID, "out again, it is another one")
}

// What is still out stays where it was seen, and goes as it is over.
func TestAlarm_StaysWhileItIsOut(t *testing.T) {
	b, show := watching()
	show(11, high(10, 1, 20))
	b.Touch([]int64{1}, false)
	require.Len(t, b.Alarms, 1)
	assert.True(t, b.Alarms[0].Seen)
	paused := high(10, 1, 20)
	paused.Paused = true
	show(12, paused)
	assert.Empty(t, b.Alarms, "the arc is out, and it was seen")
	show(13, high(10, 3, 20))
	require.Len(t, b.Alarms, 1, "it goes on with the arc")
	assert.Equal(t, int64(1), b.Alarms[0].ID)
	assert.True(t, b.Alarms[0].Seen)
	show(14)
	assert.Empty(t, b.Alarms)
	assert.Zero(t, b.AlarmsMore)
}

// What is out for a short time is an alarm where it is a finding; one that shows only
// afterwards is one too, and one that was out already is not told twice.
func TestAlarm_Findings(t *testing.T) {
	b, show := watching()
	certain := high(10, 0.1, 20)
	certain.Certain = true
	show(10.1, certain)
	require.Len(t, b.Alarms, 1)
	assert.True(t, b.Alarms[0].Finding)
	b.Take(analyze.Result{Findings: []finding.Finding{
		{Number: 1, Rule: finding.Voltage, Pass: 1, Start: pass.Moment{Tick: 10e9}, Duration: 2.5, Worst: 22, Limit: 19, Beyond: 3},
		{Number: 2, Rule: finding.HeatInput, Pass: 1, Layer: 1, Start: pass.Moment{Tick: 5e9}, Duration: 8, Worst: 0.2e6, Limit: 0.25e6, Beyond: -0.05e6},
	}})
	show(15)
	require.Len(t, b.Alarms, 2)
	assert.Equal(t, 22.0, *b.Alarms[1].Value)
	assert.Equal(t, 2.5, b.Alarms[1].Lasted)
	heat := b.Alarms[0]
	assert.Equal(t, "heat_input", heat.Rule)
	assert.Equal(t, -1, heat.Sign)
	assert.True(t, heat.Finding)
	assert.False(t, heat.Now)
	assert.Equal(t, "2026-05-04T08:00:05.000000Z", heat.Began)
	b.Touch([]int64{1, 2}, false)
	b.Take(analyze.Result{Findings: []finding.Finding{{Number: 3, Rule: finding.Voltage, Pass: 1, Start: pass.Moment{Tick: 10e9}, Worst: 22}}})
	show(16)
	assert.Empty(t, b.Alarms, "it is the same finding, whatever its number")
}

// What was found before this recording began was shown by the one before.
func TestAlarm_FindingsOfBefore(t *testing.T) {
	b, show := watching()
	b.Begin(2)
	b.Take(analyze.Result{Findings: []finding.Finding{
		{Rule: finding.Voltage, Start: pass.Moment{Epoch: 1, Tick: 1e9}, Worst: 22}, {Rule: finding.Current, Start: pass.Moment{Epoch: 2, Tick: 1e9}, Worst: 22},
	}})
	show(2)
	require.Len(t, b.Alarms, 1)
	assert.Equal(t, "current", b.Alarms[0].Rule)
}

// More than a page shows is counted, and comes up as the others are seen; what is out at
// the moment is always shown.
func TestAlarm_NoneIsLostInSilence(t *testing.T) {
	b, show := watching()
	show(0.4, high(0, 0.4, 20)) // the first, and it stays out
	for k := range 250 {
		at := float64(10 + 10*k)
		show(at+1, high(0, at+1, 20), finding.Open{Rule: finding.Current, Since: pass.Moment{Tick: int64(at * 1e9)}, Lasted: 1, Value: 170, Worst: 170, Limit: 160})
	}
	show(9000, high(0, 9000, 20))
	require.Len(t, b.Alarms, listed)
	assert.Equal(t, "voltage", b.Alarms[listed-1].Rule, "what is out is shown, however long ago it began")
	assert.Equal(t, int64(251), b.Alarms[0].ID)
	assert.Equal(t, 251-listed, b.AlarmsMore)
	b.Touch([]int64{251}, false)
	assert.Len(t, b.Alarms, listed, "an older one comes up")
	assert.Equal(t, 250-listed, b.AlarmsMore)
	b.Touch(nil, true)
	assert.Zero(t, b.AlarmsMore)
	assert.Len(t, b.Alarms, listed, "those that are shown are not touched")
}

// A channel that is outside and of which no deviation tells is an alarm: what is red on the
// page is no calm state.
func TestAlarm_OfAChannelWithoutADeviation(t *testing.T) {
	b, _ := watching()
	hot := func(second, celsius float64, state now.WindowState) {
		s := &now.Status{Any: true, Moment: pass.Moment{Tick: int64(second * 1e9)}, Seen: "the wire feeds"}
		s.Temperature = now.Gauge[quantity.Celsius]{Value: new(quantity.Celsius(celsius)), Window: quantity.Range[quantity.Celsius]{High: 250, HasHigh: true}, State: state}
		b.Show(s, now.Turn{}, &series.Source{}, morning.Add(time.Duration(second*1e9)))
	}
	hot(1, 270, now.Outside)
	assert.Empty(t, b.Alarms)
	assert.NotNil(t, b.Seen)
	hot(2, 260, now.Outside)
	require.Len(t, b.Alarms, 1)
	assert.Nil(t, b.Seen, "it is not calm")
	assert.Equal(t, "temperature 260, limit 250 degC", b.Alarms[0].Words)
	assert.Equal(t, 1.0, b.Alarms[0].Lasted)
	hot(3, 240, now.Inside)
	require.Len(t, b.Alarms, 1)
	assert.False(t, b.Alarms[0].Now)
	assert.Equal(t, 260.0, *b.Alarms[0].Value)
}

// A box that falls silent is an alarm with what was known last, and nothing stays present.
func TestHear(t *testing.T) {
	b, show := watching()
	show(1, high(0, 1, 20))
	b.Channels = []Channel{{Name: "voltage", Unit: "V", Value: new(17.51), State: Within}, {Name: "current", Unit: "A", Value: new(140.0), State: Within}}
	b.newest.Channels = b.Channels
	b.Raw, b.Place = &Raw{}, &Place{}
	silent := Link{State: LinkSilent, Words: "nothing has come for 3 s", Silent: new(3.0)}
	for second := range 5 {
		b.Hear(silent, []Box{{Link: silent}}, morning.Add(time.Duration(10+second)*time.Second))
	}
	require.Len(t, b.Alarms, 2, "one silence is one alarm")
	assert.Equal(t, "nothing has come for 3 s; last known: 17.5 V 140 A", b.Alarms[0].Words)
	assert.Equal(t, "2026-05-04T08:00:07.000000Z", b.Alarms[0].Began)
	assert.Equal(t, 7.0, b.Alarms[0].Lasted)
	assert.True(t, b.Alarms[0].Now)
	assert.False(t, b.Alarms[1].Now, "nobody knows whether it is still out")
	assert.False(t, b.ArcOn)
	assert.Nil(t, b.Channels[0].Value)
	assert.Equal(t, 17.51, *b.Last.Channels[0].Value, "it is held")
	assert.Nil(t, b.Raw)
	good := Link{State: LinkGood}
	b.Hear(good, []Box{{Link: good}}, morning.Add(20*time.Second))
	require.Len(t, b.Alarms, 2)
	assert.False(t, b.Alarms[0].Now)
	b.Hear(silent, []Box{{Link: silent}}, morning.Add(30*time.Second))
	assert.Len(t, b.Alarms, 3, "silent again")
	gone := Link{State: LinkUnplugged, Words: "the port is gone"}
	b.Hear(gone, []Box{{Link: gone}}, morning.Add(31*time.Second))
	require.Len(t, b.Alarms, 4, "unplugged is another one")
	assert.False(t, b.Alarms[1].Now)
	name := "gas"
	b.Hear(good, []Box{{Link: good}, {Name: &name, Link: Link{State: LinkDoubtful, Words: "3 frames were lost on the way"}}}, morning.Add(40*time.Second))
	assert.Equal(t, "gas: 3 frames were lost on the way", b.Alarms[0].Words)
	b.End(morning.Add(time.Minute))
	for _, a := range b.Alarms {
		assert.False(t, a.Now)
	}
	assert.Equal(t, Ended, b.Phase)
}

// Between passes the newest pass is shown as it ended.
func TestBoard_HoldsTheLastPass(t *testing.T) {
	b, show := watching()
	show(1)
	assert.False(t, b.Held)
	assert.Nil(t, b.Last)
	b.Take(analyze.Result{Passes: []pass.Pass{{Number: 1}, {Number: 2, ArcTime: 9, Elapsed: 10}}})
	b.Show(&now.Status{Passes: 2, Since: new(quantity.Seconds(4))}, now.Turn{}, &series.Source{}, morning)
	assert.True(t, b.Held)
	require.NotNil(t, b.Last)
	assert.Equal(t, 2, b.Last.Pass.Number)
	assert.Equal(t, 9.0, *b.Last.Pass.ArcTime)
	assert.Equal(t, 4.0, *b.Last.Ended)
	b.Stumble("")
	assert.Nil(t, b.Last, "no value is shown any more")
}

// An end of a pass says for what it waits.
func TestBoard_WaitsForTheEndOfThePass(t *testing.T) {
	b, show := watching()
	good, silent := Link{State: LinkGood}, Link{State: LinkSilent}
	show(1)
	b.Awaits(true)
	b.Hear(good, nil, morning)
	assert.Contains(t, b.Ending.Words, "the arc burns")
	b.ArcOn = false
	b.Hear(good, nil, morning)
	assert.Contains(t, b.Ending.Words, "the arc is out")
	b.Hear(silent, nil, morning)
	assert.Contains(t, b.Ending.Words, "nothing comes")
	b.Awaits(false)
	b.Hear(good, nil, morning)
	assert.Nil(t, b.Ending)
}

func TestZoneOf(t *testing.T) {
	assert.Equal(t, Zone{Words: "UTC"}, zoneOf(morning))
	assert.Equal(t, Zone{Words: "XST, UTC+05:30", Offset: 19800}, zoneOf(morning.In(time.FixedZone("XST", 19800))))
	assert.Equal(t, Zone{Words: "UTC-03:00", Offset: -10800}, zoneOf(morning.In(time.FixedZone("-03", -10800))))
	assert.Equal(t, Zone{Words: "GMT, UTC+00:00"}, zoneOf(morning.In(time.FixedZone("GMT", 0))))
}
