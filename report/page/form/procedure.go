package form

import (
	"strconv"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/procedure"
)

func procedureGroups() []Group {
	return []Group{
		{Name: "Procedure", Fields: []Field{
			text("procedure", "Name", "number and revision of the qualified procedure").required(),
			choice("process", "Process", "the thermal efficiency rests on it", procedure.Processes()...).required(),
			choice("transfer", "Transfer", "how the metal goes over to the pool; empty is not judged", procedure.Transfers()...),
		}},
		limitGroup(), judgeGroup(),
	}
}

func limitGroup() Group {
	return Group{Name: "Limits", Help: "As the qualified procedure has them. What is left empty is not judged.", Fields: []Field{
		limits[quantity.Volts]("limits.voltage", "Voltage", "V", "V", ""),
		limits[quantity.Amperes]("limits.current", "Current", "A", "A", ""),
		limits[quantity.MetresPerSecond]("limits.wire_speed", "Wire speed", "m/min", "in/min", ""),
		limits[quantity.MetresPerSecond]("limits.travel_speed", "Travel speed", "mm/min", "in/min", "of the torch along the wall"),
		limits[quantity.JoulesPerMetre]("limits.heat_input", "Heat input", "kJ/mm", "kJ/in", "needs the definition below"),
		limits[quantity.Celsius]("limits.interpass", "Interpass temperature", "degC", "degF", ""),
		limits[quantity.CubicMetresPerSecond]("limits.gas_flow", "Gas flow", "L/min", "ft3/h", "judged where a sensor is fitted, or a value is typed in"),
	}}
}

func judgeGroup() Group {
	by := procedure.DefaultJudge()
	return Group{Name: "How to judge", Help: "What is left empty is judged by the figures shown, which are common practice without a source.", Fields: []Field{
		choice(
			"judge.definition", "Heat input means",
			string(procedure.EN1011)+": k times energy over length. "+string(procedure.ArcEnergy)+": energy over length, as the American codes have it.",
			string(procedure.EN1011), string(procedure.ArcEnergy),
		),
		choice(
			"judge.power", "Power",
			"how the power was measured that the limits rest on", series.Instantaneous.String(), series.Average.String(),
		).otherwise(by.Power.String()),
		seconds("judge.average_over", "Average over", "the mean over this time is judged", by.AverageOver),
		seconds("judge.dwell", "Dwell", "a mean that is out for longer than this is a finding", by.Dwell),
		seconds("judge.hold", "Hold", "an arc-out shorter than this does not end an arc", by.Hold),
		number("judge.guard_band", "Guard band", "share of the expanded uncertainty (k = 2) by which a limit is kept off").otherwise(strconv.FormatFloat(by.GuardBand, 'g', -1, 64)),
		amount[quantity.Amperes]("judge.arc_current", "Arc from current", "A", "A", "from this current on an arc may be burning").otherwise(quantity.Text(by.ArcCurrent, "A", -1)),
		amount[quantity.Volts]("judge.arc_voltage", "Arc from voltage", "V", "V", "and from this voltage on").otherwise(quantity.Text(by.ArcVoltage, "V", -1)),
		percentage("judge.arc_on_tolerance", "Arc-on tolerance", "how far the arc-on ratio may fall from the planned one").otherwise(quantity.Text(by.ArcOnTolerance, "%", -1)),
	}}
}

func seconds(key, label, help string, otherwise quantity.Seconds) Field {
	return amount[quantity.Seconds](key, label, "s", "s", help).otherwise(quantity.Text(otherwise, "s", -1))
}
