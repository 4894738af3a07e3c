package export

import (
	"bytes"
	"io"
	"testing"
	"time"

	"github.com/influxdata/line-protocol/v2/lineprotocol"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// readLine is one line as the library reads it back.
type readLine struct {
	measurement string
	tags        map[string]string
	fields      map[string]any
	at          time.Time
}

func readBack(t *testing.T, text []byte) []readLine {
	t.Helper()
	d := lineprotocol.NewDecoderWithBytes(text)
	var lines []readLine
	for d.Next() {
		l := readLine{tags: map[string]string{}, fields: map[string]any{}}
		m, err := d.Measurement()
		require.NoError(t, err)
		l.measurement = string(m)
		for {
			key, value, err := d.NextTag()
			require.NoError(t, err)
			if key == nil {
				break
			}
			l.tags[string(key)] = string(value)
		}
		for {
			key, value, err := d.NextField()
			require.NoError(t, err)
			if key == nil {
				break
			}
			l.fields[string(key)] = value.Interface()
		}
		l.at, err = d.Time(lineprotocol.Nanosecond, time.Time{})
		require.NoError(t, err)
		lines = append(lines, l)
	}
	return lines
}

func TestLineProtocolReadsBack(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, LineProtocol(&b, of(inventedBlocks()), inventedSheet(inventedClock)))
	at := func(epoch int, tick int64) time.Time { w, _ := inventedClock(epoch, tick); return w }
	job := map[string]string{"job": "Invented job, bore 1"}
	arc := func(tick int64, v, i float64, more map[string]any) readLine {
		fields := map[string]any{"v": v, "i": i, "epoch": int64(0), "tick_ns": tick}
		for key, value := range more {
			fields[key] = value
		}
		return readLine{"arc", job, fields, at(0, tick)}
	}
	slow := func(tick int64, channel, unit string, value float64) readLine {
		tags := map[string]string{"job": job["job"], "channel": channel}
		if unit != "" {
			tags["unit"] = unit
		}
		return readLine{"slow", tags, map[string]any{"value": value, "epoch": int64(0), "tick_ns": tick}, at(0, tick)}
	}
	turn := func(tick, count int64) readLine {
		return readLine{"turn", job, map[string]any{"count": count, "epoch": int64(0), "tick_ns": tick}, at(0, tick)}
	}
	missing := slow(200_000_000, "gas_flow", "L/min", 0)
	delete(missing.fields, "value")
	want := []readLine{
		slow(0, "gas_flow", "L/min", 14.25), slow(100_000_000, `odd, "name"`, "", -1), missing,
		turn(1000, 5), turn(10_001_000, 6), turn(20_001_000, 4),
		arc(999_999_900, 17, 140, map[string]any{"break": true}),
		arc(1_000_099_900, -120*0.0025-0.5, 281.25, nil), arc(1_000_199_900, 17.0025, 139.96875, nil),
		arc(2_000_000_001, 16.9975, 0, map[string]any{"arc": true}), arc(2_333_333_333, 17, -0.03125, map[string]any{"arc": false}),
		{"sums", job, map[string]any{
			"v": 17.0, "i": 140.0, "p": 2380.0, "arc": 0.75, "window_s": 0.0004, "epoch": int64(1), "tick_ns": int64(500_000_000), "break": true,
		}, at(1, 500_000_000)},
		{"pass", map[string]string{"job": job["job"], "pattern": "helix"}, map[string]any{
			"number": int64(1), "layer": int64(1), "elapsed_s": 3.0, "arc_time_s": 2.7, "arc_on_ratio": 0.9, "planned_arc_on_ratio": 0.9,
			"voltage_mean_v": 17.5, "current_mean_a": 140.0, "power_mean_w": 2362.5, "power_basis": "instantaneous", "energy_j": 6378.75,
			"wire_m": 0.25, "travel_mm": 16.0, "travel_speed_mm_min": 360.0, "travel_basis": "measured", "heat_input_kj_per_mm": 0.315,
			"verdict": "within, closer than the guard band", "gap_s": 0.0, "findings": int64(0),
		}, at(0, 123_456_789)},
		{"pass", job, map[string]any{
			"number": int64(2), "elapsed_s": 0.0, "arc_time_s": 0.0, "gap_s": 0.0, "findings": int64(0),
		}, at(0, 5e9)},
		{"finding", map[string]string{"job": job["job"], "rule": "voltage", "unit": "V"}, map[string]any{
			"number": int64(1), "event": int64(1), "pass": int64(1), "layer": int64(1), "angle_deg": 131.25, "depth_mm": 4.5, "duration_s": 1.5,
			"worst": 15.75, "limit": 16.5, "beyond": -0.75, "sentence": `voltage "15.8 V", below`, "state": "open",
			"epoch": int64(0), "tick_ns": int64(1_000_000_007),
		}, at(0, 1_000_000_007)},
	}
	got := readBack(t, b.Bytes())
	require.Len(t, got, len(want))
	for k := range want {
		assert.Equal(t, want[k].measurement, got[k].measurement)
		assert.Equal(t, want[k].tags, got[k].tags)
		assert.Equal(t, want[k].fields, got[k].fields, "%s %d", want[k].measurement, k)
		assert.True(t, want[k].at.Equal(got[k].at), "%s: %s is not %s", want[k].measurement, got[k].at, want[k].at)
	}
}

// TestLineProtocolOfManySamples reads back what went through many buffers.
func TestLineProtocolOfManySamples(t *testing.T) {
	blocks := manyBlocks(5)
	var b bytes.Buffer
	require.NoError(t, LineProtocol(&b, of(blocks), nil))
	lines := readBack(t, b.Bytes())
	require.Len(t, lines, 5000)
	for n, l := range lines {
		block := &blocks[n/1000]
		require.InDelta(t, float64(block.V[n%1000])*0.0025-0.5, l.fields["v"], 1e-10)
		require.Equal(t, float64(block.I[n%1000])*0.03125, l.fields["i"])
		require.Equal(t, block.At(n%1000), l.fields["tick_ns"])
	}
}

func TestLineProtocolNeedsTheWallTime(t *testing.T) {
	s := of(inventedBlocks())
	s.WallTime = nil
	err := LineProtocol(io.Discard, s, nil)
	require.ErrorIs(t, err, ErrNoWallTime)
	require.ErrorContains(t, err, "export as csv")
	require.ErrorContains(t, LineProtocol(io.Discard, Samples{}, inventedSheet(nil)), "pass 1")
}
