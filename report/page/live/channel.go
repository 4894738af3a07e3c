package live

import (
	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/heat"
	"arctally/analyze/now"
	"arctally/report/sheet"
)

// The units of the pages.
const (
	wireUnit   = "m/min"
	travelUnit = "mm/min"
	turnUnit   = "rpm"
	heatUnit   = "kJ/mm"
	gasUnit    = "L/min"
	warmUnit   = "degC"
	lengthUnit = "mm"

	wireChannel = "wire_speed"
	gasChannel  = "gas_flow"
	warmChannel = "temperature"
)

// channels are those that the source has, or that follow from something.
func channels(s *now.Status, source *series.Source) []Channel {
	measured, travel := heat.TravelMeasured, s.TravelBasis
	list := []Channel{
		channelOf("voltage", "V", &s.Voltage, measured), channelOf("current", "A", &s.Current, measured),
	}
	if has(source, wireChannel) || s.WireSpeed.Value != nil {
		list = append(list, channelOf(wireChannel, wireUnit, &s.WireSpeed, measured))
	}
	if s.Travel.Value != nil || travel != "" {
		list = append(list, channelOf("travel_speed", travelUnit, &s.Travel, travel))
	}
	if s.Rotation.Value != nil || source.CountsPerTurn > 0 {
		list = append(list, channelOf("rotation", turnUnit, &s.Rotation, travel))
	}
	if has(source, gasChannel) || s.GasFlow.Value != nil {
		list = append(list, channelOf(gasChannel, gasUnit, &s.GasFlow, measured))
	}
	if has(source, warmChannel) || s.Temperature.Value != nil {
		list = append(list, channelOf(warmChannel, warmUnit, &s.Temperature, measured))
	}
	return list
}

// has tells whether the source has a channel.
func has(source *series.Source, name string) bool {
	for _, c := range source.Channels {
		if c.Name == name {
			return true
		}
	}
	return false
}

func channelOf[Q quantity.Quantity](name, unit string, g *now.Gauge[Q], basis heat.TravelBasis) Channel {
	c := Channel{Name: name, Unit: unit, Value: sheet.In(g.Value, unit), State: marginOf(g.State)}
	c.Low, c.High = sheet.RangeEnds(g.Window, unit)
	if g.Value != nil {
		c.Basis = word(basis)
	}
	return c
}
