package check

import (
	"bytes"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/modbus"
	"arctally/acquire/sensorbox"
	"arctally/acquire/series"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/recording"
	"arctally/cmd/internal/virtualbox"
)

// The sink that averages a channel takes none of the samples on assumed scales,
// begins anew with the box, and gives no more than what it was asked for.
func TestMeasured(t *testing.T) {
	stopped := 0
	m := &measured{channel: "current", length: int64(time.Second), stop: func() { stopped++ }, heard: func(string) error { return nil }}
	s := series.Source{Assumed: true, Channels: []series.Channel{{Name: "voltage"}, {Name: "current", Scale: 0.5, Offset: 1}, {Name: "gas_flow"}}}
	ramp := func(epoch int, from, n int32) *series.Block {
		b := &series.Block{Kind: series.Arc, Epoch: epoch, Tick: int64(from) * 10_000_000, Step: 10_000_000}
		for k := range n {
			b.V, b.I = append(b.V, 7), append(b.I, from+k)
		}
		return b
	}
	require.NoError(t, m.Source(s))
	require.NoError(t, m.Block(ramp(0, 0, 50)))
	s.Assumed = false
	require.NoError(t, m.Source(s))
	require.NoError(t, m.Block(ramp(0, 50, 50)))
	require.NoError(t, m.Block(ramp(1, 0, 80)))
	require.Zero(t, stopped)
	require.NoError(t, m.Block(ramp(1, 80, 40)))
	require.Equal(t, 1, stopped)
	m.end()
	require.Len(t, m.values, measuredPieces)
	// Codes 0 to 99, two in a piece: the first mean is 0.5*0.5 + 1 at 10 ms, all of them 49.5*0.5 + 1.
	assert.InDelta(t, 1.25, m.values[0], 1e-12)
	assert.InDelta(t, 0.01, m.seconds[0], 1e-12)
	assert.InDelta(t, 25.75, m.mean(), 1e-12)
	var missing *explain.Error
	m.channel = "temperature"
	require.ErrorAs(t, m.Source(s), &missing)
	assert.NotEmpty(t, missing.Hint())
}

// Windows of sums and slow channels are averaged as well.
func TestMeasured_sumsAndSlowChannels(t *testing.T) {
	s := series.Source{Channels: []series.Channel{{Name: "voltage", Scale: 0.01}, {Name: "current", Scale: 0.1}, {Name: "gas_flow"}}}
	for channel, want := range map[string]float64{"voltage": 20, "current": 150, "gas_flow": 12} {
		m := &measured{channel: channel, length: int64(time.Second), stop: func() {}, heard: func(string) error { return nil }}
		require.NoError(t, m.Source(s))
		for k := range int64(4) {
			at := k * 500_000_000
			require.NoError(t, m.Block(&series.Block{Kind: series.Sums, Tick: at, Step: 1_000_000, Sum: series.WindowSums{Count: 500, V: 500 * 2000, I: 500 * 1500}}))
			require.NoError(t, m.Block(&series.Block{Kind: series.Slow, Ticks: []int64{at}, Channel: []uint8{2}, Value: []float64{12}}))
		}
		m.end()
		require.True(t, m.done)
		assert.InDelta(t, want, m.mean(), 1e-9, channel)
	}
}

// A box that is swapped while its readings are taken ends the check in words, whether it
// says at once who it is or only counts anew first.
func TestMeasure_swappedInMidCheck(t *testing.T) {
	d := newDay(t)
	in, err := Kinds[0].Read([]string{"channel=voltage"})
	require.NoError(t, err)
	stream := func(serial string) []byte {
		plan := virtualbox.Plan(d.job, 1, nil)
		plan.Serial, plan.SampleRate = serial, 1000
		box, err := sensorbox.New(plan)
		require.NoError(t, err)
		var b bytes.Buffer
		_, err = box.Write(t.Context(), &b)
		require.NoError(t, err)
		return b.Bytes()[:60_000] // cut within a frame: the next description comes seconds later
	}
	measure := func(parts ...[]byte) (*Site, error) {
		site := d.site("first")
		m := &measured{channel: "voltage", length: int64(time.Hour), stop: func() {}, heard: func(own string) error { return site.hears(in, own) }}
		box, err := acquire.NewLine(bytes.NewReader(bytes.Join(parts, nil)), link.Binary, nil)
		require.NoError(t, err)
		_, err = acquire.RecordBoxes(t.Context(), []acquire.Box{box}, acquire.Config{Sinks: []series.Sink{m}})
		return site, err
	}
	site, err := measure(stream("A"), stream("A"))
	require.NoError(t, err)
	assert.Equal(t, "A", site.box)
	_, err = measure(stream("A"), stream("B"))
	require.ErrorContains(t, err, "the box changed during the check: box B in place of box A; nothing is kept of the check")
	var told *explain.Error
	require.ErrorAs(t, err, &told)
	assert.Equal(t, "carry out the check anew, with one box", told.Hint())
}

// A check that is read from a slave is bound to the box that a recording from it says:
// the unit is a part of its name.
func TestMeasure_ofASlave(t *testing.T) {
	pair, err := sensorbox.OpenPair()
	require.NoError(t, err)
	slave := sensorbox.Slave{Unit: 7, Image: func(r modbus.Request) ([]uint16, modbus.Exception) { return make([]uint16, r.Count), 0 }}
	served := make(chan error, 1)
	go func() { served <- slave.Serve(pair) }()
	d := newDay(t)
	register := func(channel string, address uint16) series.Register {
		return series.Register{Channel: channel, Address: address, Function: series.ReadInput, Type: series.U16, Scale: 0.1}
	}
	sensor := procedure.Sensor{Port: pair.Name(), Link: link.Modbus, Baud: 115200, Slave: &series.Slave{
		Unit: 7, Registers: []series.Register{register("voltage", 0), register("current", 1)},
	}}
	d.job.Job.Sensors = []procedure.Sensor{sensor}
	site := d.site("first")
	site.Options.Live, site.Options.Length = true, time.Second
	in, err := Kinds[0].Read([]string{"channel=voltage"})
	require.NoError(t, err)
	_, err = site.measure(t.Context(), in, Channel{Name: "voltage"})
	require.NoError(t, err)
	said, err := recording.BoxOf(sensor, nil, time.Now)
	require.NoError(t, err)
	assert.Equal(t, said.Source.Identity(), site.box)
	require.NoError(t, pair.Close())
	t.Log("the slave ended with the line:", <-served)
}
