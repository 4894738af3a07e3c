package procedure

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
)

func jobText(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "testdata", "job", name))
	require.NoError(t, err)
	return text
}

func parseJob(t *testing.T, name string) *Job {
	t.Helper()
	job, err := ParseJob(name, jobText(t, name))
	require.NoError(t, err)
	return job
}

func parseProcedure(t *testing.T, name string) *Procedure {
	t.Helper()
	p, err := ParseProcedure(name, jobText(t, name))
	require.NoError(t, err)
	return p
}

func window2[Q quantity.Quantity](unit string, low, high float64) quantity.Range[Q] {
	return quantity.Range[Q]{Low: quantity.Of[Q](low, unit), High: quantity.Of[Q](high, unit), HasLow: true, HasHigh: true}
}

func TestParseJob_Demo(t *testing.T) {
	assert.Equal(t, &Job{
		Name:          "Demo loader, lower boom pin bore",
		ProcedureFile: "procedures/gmaw-short-arc.yaml",
		Bore:          bore.Bore{WornDiameter: 0.092, FinishDiameter: 0.090, WeldToDiameter: 0.086, Length: 0.060, Axis: "horizontal"},
		Deposit: bore.Deposit{
			Pattern: bore.Helix, Pitch: 0.003, WireDiameter: 0.0009, Efficiency: bore.DefaultEfficiency,
			Gaps: []bore.Gap{{From: 80, To: 116}},
		},
		Rotation:    Rotation{Speed: 1.25 / 60},
		Setpoints:   Setpoints{Voltage: 17.5, Current: 140, WireSpeed: 5.5 / 60, TravelSpeed: 0.006},
		Sensors:     []Sensor{{Port: "/dev/serial/by-id/...", Link: "binary", Baud: 921600}},
		Material:    Material{Grade: "S355", Thickness: 0.030, Analysis: map[string]float64{"C": 0.18, "Mn": 1.4, "Si": 0.35}},
		Consumables: Consumables{Wire: "ER70S-6", WireBatch: "A-1187", Gas: "Ar 80 CO2 20", GasBatch: "55-20", Hydrogen: 5},
		People:      People{Operator: "Operator 1", Inspector: "Inspector 1"},
		Customer:    Customer{Name: "Demo quarry", Order: "D-1024"},
		Machine:     Machine{Name: "Demo loader", Serial: "DL-0017"},
	}, parseJob(t, "demo/job.yaml"))
}

func TestParseProcedure_Demo(t *testing.T) {
	judge := DefaultJudge() // the design writes the defaults out
	judge.Definition = EN1011
	assert.Equal(t, &Procedure{
		Name:    "DEMO-07 rev 2",
		Process: "MAG",
		Limits: Limits{
			Voltage:     window2[quantity.Volts]("V", 16.5, 19),
			Current:     window2[quantity.Amperes]("A", 110, 160),
			WireSpeed:   window2[quantity.MetresPerSecond]("m/min", 4.5, 6.5),
			TravelSpeed: window2[quantity.MetresPerSecond]("mm/min", 280, 420),
			HeatInput:   window2[quantity.JoulesPerMetre]("kJ/mm", 0.25, 0.55),
			Interpass:   quantity.Range[quantity.Celsius]{High: 250, HasHigh: true},
			GasFlow:     window2[quantity.CubicMetresPerSecond]("L/min", 12, 18),
		},
		Judge: judge,
	}, parseProcedure(t, "demo/procedures/gmaw-short-arc.yaml"))
}

func TestParseJob_USUnits(t *testing.T) {
	job := parseJob(t, "us-units/job.yaml")
	assert.InDelta(t, 91.948e-3, float64(job.Bore.WornDiameter), 1e-15)
	assert.InDelta(t, 3.048e-3, float64(job.Deposit.Pitch), 1e-15)
	assert.InDelta(t, 0.889e-3, float64(job.Deposit.WireDiameter), 1e-15)
	assert.InDelta(t, 6.35/60, float64(job.Setpoints.WireSpeed), 1e-15)
	assert.InDelta(t, 0.3556/60, float64(job.Setpoints.TravelSpeed), 1e-15)
	assert.Equal(t, "15 deg", job.Bore.Axis)
	assert.Equal(t, []bore.Gap{{From: 350, To: 20}, {From: 90, To: 100}}, job.Deposit.Gaps)
	assert.Equal(t, []Sensor{
		{Port: "/dev/ttyUSB0", Link: "delimited", Baud: 115200},
		{Port: "/dev/ttyUSB1", Link: "lineprotocol", Baud: 57600},
	}, job.Sensors)
	assert.Equal(t, []calib.Calibration{
		{Channel: "voltage", Gain: 1.002, Offset: -0.05, Relative: 0.005, Date: "2026-05-04", Due: "2027-05-04", Certificate: "C-104"},
		{Channel: "travel", Gain: 1, Relative: 0.01},
	}, job.Instruments)
}

func TestParseProcedure_USUnits(t *testing.T) {
	p := parseProcedure(t, "us-units/procedures/gmaw-short-arc.yaml")
	assert.Equal(t, ArcEnergy, p.Judge.Definition)
	assert.Equal(t, series.Average, p.Judge.Power)
	assert.Equal(t, quantity.Ratio(0.05), p.Judge.ArcOnTolerance)
	assert.True(t, p.Limits.Current.IsZero())
	assert.InDelta(t, 4.572/60, float64(p.Limits.WireSpeed.Low), 1e-15)
	assert.InDelta(t, 6e3/25.4e-3, float64(p.Limits.HeatInput.Low), 1e-9)
	assert.InDelta(t, 14e3/25.4e-3, float64(p.Limits.HeatInput.High), 1e-9)
	assert.InDelta(t, 10, float64(p.Limits.Interpass.Low), 1e-12)
	assert.InDelta(t, 25*0.028316846592/3600, float64(p.Limits.GasFlow.Low), 1e-18)
}

func TestParseJob_Straight(t *testing.T) {
	job, err := ParseJob("coupon.yaml", []byte("job: Coupon 1\nprocedure: p.yaml\ndeposit: {pattern: straight, length: 100 mm}\n"))
	require.NoError(t, err)
	assert.Equal(t, bore.Deposit{Pattern: bore.Straight, Length: 0.1, Efficiency: bore.DefaultEfficiency}, job.Deposit)
	assert.Zero(t, job.Bore)

	_, err = ParseJob("coupon.yaml", []byte("job: Coupon 1\nprocedure: p.yaml\ndeposit: {pattern: straight}\n"))
	assert.NoError(t, err, "length and travel may both be left open")
}

func TestParseProcedure_Defaults(t *testing.T) {
	p, err := ParseProcedure("p.yaml", []byte("procedure: P\nprocess: TIG\nlimits: {voltage: 9..12 V}\n"))
	require.NoError(t, err)
	assert.Equal(t, DefaultJudge(), p.Judge)
	assert.Empty(t, p.Judge.Definition, "nothing but the procedure can tell it")
}
