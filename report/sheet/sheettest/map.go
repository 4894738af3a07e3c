package sheettest

import (
	"slices"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/compare"
	"arctally/report/sheet"
)

// Map has one even layer with a hole in it, and a patch without data.
func Map() *bore.Map {
	job := Job()
	m := bore.NewMap(job.Bore, job.Deposit)
	m.WireMeasured = 78.7
	for k := range m.Cells {
		share := m.WeldedShare(k % m.Columns)
		m.Cells[k] = bore.Cell{Energy: 1400, ArcTime: 0.66, Path: 0.004, Volume: 27e-9}
		if share < 1 {
			m.Cells[k] = bore.Cell{Energy: 10, ArcTime: 0.01, Off: 0.65}
		}
	}
	short := m.At(12, 60) // where the arc went out, and came back too hot
	short.ArcTime, short.Off, short.Energy, short.Path = 0.4, 0.26, 2950, 0.004
	for column := 50; column < 53; column++ {
		m.At(3, column).Volume = 0
		m.At(8, column).Volume, m.At(8, column).Unseen = 0, 0.66
	}
	m.Layers = []bore.Layer{{Number: 1, Cells: slices.Clone(m.Cells)}}
	m.Beyond = bore.Cell{Energy: 500, ArcTime: 0.2, Volume: 1e-9}
	return m
}

// Mapped is the sheet of the invented job with its map, changed before it is frozen.
func Mapped(change func(*sheet.Input)) *sheet.Sheet {
	in := Input()
	in.Result.Map = Map()
	if change != nil {
		change(&in)
	}
	return sheet.New(in)
}

// Comparison is a pass over the median of three, two turns long.
func Comparison(way compare.Way) *compare.Comparison {
	c := &compare.Comparison{
		Pass: 4, Good: []int{1, 2, 3}, Way: way, Width: 1.0 / 72,
		Options: compare.Options{Deviations: 4, Share: 0.02, Dwell: 1},
		Scales:  []compare.Scale{{Quantity: compare.Voltage, Deviation: 0.05, Threshold: 0.35}},
		Departures: []compare.Departure{{
			Quantity: compare.Voltage, First: 100, Last: 106, From: bore.Place{Angle: 140, Depth: 0.0042}, To: bore.Place{Angle: 175, Depth: 0.0045},
			Placed: true, Lasted: 4.7, Mean: 2, Worst: 2.5, Sentence: "voltage 2.00 V above the median; look",
		}},
	}
	if way == compare.ArcTime {
		c.Width = 0.5
	}
	for n := range 144 {
		v := compare.Values{Voltage: new(quantity.Volts(17.5)), Current: new(quantity.Amperes(140)), Power: new(quantity.Watts(2400)), Arc: 0.66}
		l := compare.Line{Number: n, Placed: way == compare.Turns, This: v, Reference: v}
		l.Place = bore.Place{Angle: quantity.Degrees(n % 72 * 5), Depth: quantity.Metres(n) * 0.003 / 72}
		if n >= 100 && n <= 106 {
			l.This.Voltage = new(quantity.Volts(19.5))
		}
		if n%72 >= 16 && n%72 < 23 {
			l.This, l.Reference = compare.Values{}, compare.Values{}
		}
		c.Lines = append(c.Lines, l)
	}
	return c
}
