package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/note"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

func typed(tick int64, degrees float64) note.Note {
	return note.Note{By: "O", Tick: tick, Temperature: new(quantity.Of[quantity.Celsius](degrees, "degC"))}
}

func flow(tick int64, litres float64) note.Note {
	return note.Note{By: "O", Tick: tick, GasFlow: new(quantity.Of[quantity.CubicMetresPerSecond](litres, "L/min"))}
}

// beginAt has two passes, from 100 to 200 and from 300 on, and returns how they
// begin and what is found.
func beginAt(t *testing.T, notes ...note.Note) (passes [2]pass.Pass, found []Finding) {
	t.Helper()
	job := &procedure.Job{}
	job.Procedure.Limits.Interpass = quantity.Range[quantity.Celsius]{Low: 100, High: 250, HasLow: true, HasHigh: true}
	job.Procedure.Limits.GasFlow = quantity.Range[quantity.CubicMetresPerSecond]{Low: quantity.Of[quantity.CubicMetresPerSecond](12, "L/min"), HasLow: true}
	w := NewWatch(job)
	for _, n := range notes {
		w.Note(n)
	}
	for k, start := range []int64{100, 300} {
		passes[k] = pass.Pass{Number: k + 1, End: pass.Moment{Tick: start + 100}}
		w.ledger.pass = &passes[k]
		w.start.Begin(&passes[k], pass.Position{Moment: pass.Moment{Tick: start}})
		w.start.End(&passes[k])
	}
	return passes, w.Found()
}

func TestWatch_typedTemperature(t *testing.T) {
	passes, found := beginAt(t, typed(250, 270), typed(50, 180), typed(150, 20), typed(240, 260), typed(301, 20))
	require.EqualValues(t, 180, passes[0].AtStart.Temperature.Value, "preheat")
	require.EqualValues(t, 270, passes[1].AtStart.Temperature.Value, "the newest before the pass")
	require.Equal(t, "O", passes[1].AtStart.Temperature.By)
	require.Len(t, found, 1)
	require.Equal(t, Interpass, found[0].Rule)
	require.Equal(t, 2, found[0].Pass)
	require.Equal(t, 20.0, found[0].Beyond)
	require.Equal(t, "temperature at the start of the pass 270 degC, above the limit of 250 degC, typed in by O; let it cool before the next pass", found[0].Sentence)
}

func TestWatch_olderThanThePassBeforeIsNoInterpassTemperature(t *testing.T) {
	passes, found := beginAt(t, typed(50, 20), typed(199, 400))
	require.Nil(t, passes[1].AtStart.Temperature)
	require.Len(t, found, 1, "only the preheat of the first pass")
	require.Equal(t, 1, found[0].Pass)
	require.Contains(t, found[0].Sentence, "preheat")
}

func TestWatch_typedGasFlowHoldsUntilTheNext(t *testing.T) {
	passes, found := beginAt(t, flow(50, 15))
	require.InDelta(t, 15, quantity.In(passes[1].AtStart.GasFlow.Value, "L/min"), 1e-9)
	require.Empty(t, found)
	passes, found = beginAt(t, flow(50, 15), flow(150, 9))
	require.InDelta(t, 9, quantity.In(passes[1].AtStart.GasFlow.Value, "L/min"), 1e-9)
	require.Len(t, found, 1)
	require.Equal(t, GasFlow, found[0].Rule)
}

// What is typed in for the very moment of the strike, or of the end of the pass before,
// holds; of two for one moment, the one typed in later.
func TestWatch_typedForTheMoment(t *testing.T) {
	passes, found := beginAt(t, typed(100, 150), typed(200, 160), flow(300, 14))
	require.EqualValues(t, 150, passes[0].AtStart.Temperature.Value)
	require.EqualValues(t, 160, passes[1].AtStart.Temperature.Value)
	require.InDelta(t, 14, quantity.In(passes[1].AtStart.GasFlow.Value, "L/min"), 1e-9)
	require.Empty(t, found)
	passes, _ = beginAt(t, typed(100, 150), typed(90, 140), typed(100, 170))
	require.EqualValues(t, 170, passes[0].AtStart.Temperature.Value)
	require.Nil(t, passes[1].AtStart.Temperature)
	passes, _ = beginAt(t, flow(301, 14))
	require.Nil(t, passes[1].AtStart.GasFlow)
}

func TestWatch_NotesInOrder(t *testing.T) {
	w := NewWatch(testJob())
	for _, n := range []note.Note{{Tick: 5, By: "a"}, {Epoch: 1, Tick: 1, By: "b"}, {Tick: 3, By: "c"}, {Tick: 5, By: "d"}, {Tick: 3, By: "e"}} {
		w.Note(n)
	}
	order := ""
	for _, n := range w.Notes() {
		order += n.By
	}
	require.Equal(t, "ceadb", order)
}

// A channel's temperature is judged as well as one typed in, and the latter is noted; of
// the gas it is the channel's that is noted, and only the one typed in that is judged here.
func TestWatch_channelAndTyped(t *testing.T) {
	w := NewWatch(testJob())
	w.Follow(turning{})
	w.Temperature(270)
	w.Gas(0, 0.0001)
	w.Note(typed(50, 90))
	w.Note(flow(50, 6))
	p := &pass.Pass{Number: 1}
	w.Begin(p, pass.Position{Moment: pass.Moment{Tick: 100}})
	require.Equal(t, &pass.Reading[quantity.Celsius]{Value: 90, By: "O"}, p.AtStart.Temperature)
	require.Equal(t, &pass.Reading[quantity.CubicMetresPerSecond]{Value: 0.0001}, p.AtStart.GasFlow)
	require.Len(t, w.Found(), 3)
	require.Equal(t, "", w.Found()[0].By)
	require.Equal(t, 270.0, w.Found()[0].Worst)
	require.Equal(t, 90.0, w.Found()[1].Worst)
	require.Equal(t, GasFlow, w.Found()[2].Rule)
	require.InDelta(t, 0.0001, w.Found()[2].Worst, 1e-12)
	require.Equal(t, "O", w.Found()[2].By)

	p = &pass.Pass{Number: 2}
	w = NewWatch(testJob())
	w.Temperature(250)
	w.Begin(p, pass.Position{})
	require.Equal(t, &pass.Reading[quantity.Celsius]{Value: 250}, p.AtStart.Temperature)
	require.Nil(t, p.AtStart.GasFlow)
	require.Empty(t, w.Found(), "on the limit")
}
