package plausible

import (
	"slices"

	"arctally/acquire/quantity"
)

// ours is the source of every band: each is wider than any job that we know of, so
// that a challenge is nearly always a slip.
const ours = "ours, no source"

// Bands is the table: what is usual of every quantity that is typed in.
var Bands = slices.Concat(ofJob, ofInstruments, ofProcedure, ofChecks, ofPeople)

var ofJob = []Band{
	row[quantity.Metres]("bore.worn_diameter", "20..1500 mm", "no torch turns in a smaller bore, and no boring bar reaches round a larger one"),
	row[quantity.Metres]("bore.finish_diameter", "20..1500 mm", "no torch turns in a smaller bore, and no boring bar reaches round a larger one"),
	row[quantity.Metres]("bore.weld_to_diameter", "20..1500 mm", "no torch turns in a smaller bore, and no boring bar reaches round a larger one"),
	row[quantity.Metres]("bore.length", "2..3000 mm", "less is no bore, and a torch is not guided farther in"),
	row[quantity.Degrees]("bore.axis", "-90..90 deg", "it is the angle from the horizontal"),
	row[quantity.Metres]("deposit.pitch", "0.5..20 mm", "beads of a wire lie so far apart"),
	row[quantity.Metres]("deposit.wire_diameter", "0.5..5 mm", "wires are sold from 0.6 to 4.8 mm"),
	row[quantity.Ratio]("deposit.efficiency", "50..100 %", "of solid wire more than 90 % stays, of any filler more than half"),
	row[quantity.Metres]("deposit.length", "5..5000 mm", "a bead to learn from has some length, and fits on a bench"),
	row[quantity.Degrees]("gap.from", "0..360 deg", "it is an angle on the circle"),
	row[quantity.Degrees]("gap.to", "0..360 deg", "it is an angle on the circle"),
	row[quantity.TurnsPerSecond]("rotation.speed", "0.01..30 rpm", "at the wall that is a travel that an arc can follow"),
	row[quantity.Degrees]("rotation.start_angle", "0..360 deg", "it is an angle on the circle"),
	row[quantity.Volts]("setpoints.voltage", "8..60 V", "arcs that lay metal burn at 10 to 45 V"),
	row[quantity.Amperes]("setpoints.current", "20..800 A", "less melts no wire, more is no bore torch"),
	row[quantity.MetresPerSecond]("setpoints.wire_speed", "0.3..30 m/min", "feeders run from 1 to 25 m/min"),
	row[quantity.MetresPerSecond]("setpoints.travel_speed", "20..3000 mm/min", "slower burns through, faster lays no bead"),
	row[quantity.AmperesPerMetre]("setpoints.current_per_distance", "0.5..50 A/mm", "a wire loses some amperes with a millimetre of stick-out"),
	row[quantity.Metres]("material.thickness", "2..500 mm", "the wall around a bore"),
	element("C", "0.01..1.2"), element("Si", "0..2.5"), element("Mn", "0..15"), element("P", "0..0.15"), element("S", "0..0.4"),
	element("Cr", "0..20"), element("Mo", "0..4"), element("V", "0..1"), element("Ni", "0..14"), element("Cu", "0..2"),
	element("B", "0..0.02"), element("Al", "0..1.5"), element("Nb", "0..1.2"), element("Ti", "0..0.8"), element("N", "0..0.3"),
	row[quantity.Hydrogen]("consumables.hydrogen", "0.5..30 ml/100g", "the wettest electrodes give some 30"),
	row[quantity.Ohms]("signals.leads", "0..50 mohm", "welding leads of a usual length and section"),
	row[quantity.Seconds]("signals.skew", "-5..5 ms", "converters take two channels within one sample"),
	row[quantity.Hertz]("signals.voltage_bandwidth", "0.01..1000 kHz", "filters before a converter"),
	row[quantity.Hertz]("signals.current_bandwidth", "0.01..1000 kHz", "sensors of current, and the filters behind them"),
	clock("0..0.006", "0 to 6000 ppm"),
}

// clock is how far the oscillator of a box is off, which people say in ppm.
func clock(window, usual string) Band {
	b := row[quantity.Ratio]("signals.clock", window, "the worst ceramic resonator is off by 5000 ppm")
	b.Usual = usual
	return b
}

// element is the share of an element in a steel, in mass %.
func element(symbol, window string) Band {
	b := row[quantity.Ratio]("material.analysis."+symbol, window, "steels that are welded have so much of it; what is not known is left empty")
	b.Usual += " %"
	return b
}

var ofInstruments = slices.Concat(
	instrument[quantity.Volts]("voltage", "-5..5 V"), instrument[quantity.Amperes]("current", "-50..50 A"),
	instrument[quantity.MetresPerSecond]("wire_speed", "-2..2 m/min"), instrument[quantity.MetresPerSecond]("travel", "-100..100 mm/min"),
	instrument[quantity.CubicMetresPerSecond]("gas_flow", "-5..5 L/min"), instrument[quantity.Celsius]("temperature", "-50..50 degC"),
)

// usualGain is what a correction multiplies by.
const (
	usualGain = "0.9..1.1"
	whyGain   = "an instrument that is more than 10 % off is broken, or a decimal point has slipped"
)

func instrument[Q quantity.Quantity](channel, offset string) []Band {
	within := "instruments." + channel + "."
	return []Band{
		row[quantity.Ratio](within+"standard_uncertainty", "0.005..15 %", "better is a standards laboratory, worse measures nothing"),
		row[quantity.Ratio](within+"degrees_of_freedom", "1..100000", "it is a number of readings, less one or two"),
		row[quantity.Ratio](within+"gain", usualGain, whyGain),
		row[Q](within+"offset", offset, "an instrument that is farther off at zero is broken"),
	}
}

var ofProcedure = []Band{
	row[quantity.Volts]("limits.voltage", "8..60 V", "arcs that lay metal burn at 10 to 45 V"),
	row[quantity.Amperes]("limits.current", "10..1000 A", "less melts no wire, more is no bore torch"),
	row[quantity.MetresPerSecond]("limits.wire_speed", "0.3..30 m/min", "feeders run from 1 to 25 m/min"),
	row[quantity.MetresPerSecond]("limits.travel_speed", "20..3000 mm/min", "slower burns through, faster lays no bead"),
	row[quantity.JoulesPerMetre]("limits.heat_input", "0.02..10 kJ/mm", "qualified procedures for steel lie from 0.2 to 5 kJ/mm"),
	row[quantity.Celsius]("limits.interpass", "-30..550 degC", "colder is no workshop, and hotter no steel keeps its strength"),
	row[quantity.CubicMetresPerSecond]("limits.gas_flow", "2..60 L/min", "less shields nothing, more draws in air"),
	row[quantity.Seconds]("judge.average_over", "0.02..10 s", "shorter is one short circuit, longer hides what happens in a bead"),
	row[quantity.Seconds]("judge.dwell", "0..20 s", "a bead is laid over some centimetres in that time; a longer one would find nothing"),
	row[quantity.Seconds]("judge.hold", "0..5 s", "an arc that is out for longer has ended"),
	row[quantity.Ratio]("judge.guard_band", "0..3", "1 keeps a limit off by the whole expanded uncertainty; with many times that nothing could be within"),
	row[quantity.Amperes]("judge.arc_current", "1..60 A", "the arc is told from leakage by some amperes; a higher one would call a burning arc off"),
	row[quantity.Volts]("judge.arc_voltage", "1..15 V", "the arc is told from a short circuit by some volts; a higher one would call a burning arc off"),
	row[quantity.Ratio]("judge.arc_on_tolerance", "0..50 %", "more would let half of a layer be missing"),
}

// ofChecks are the figures of set-up checks. What is read on a channel has a band for
// each channel.
var ofChecks = slices.Concat(
	readings[quantity.Volts]("voltage", "-5..5 V", "-1..150 V", "0.0001..5 V"), readings[quantity.Amperes]("current", "-50..50 A", "-10..1500 A", "0.001..50 A"),
	readings[quantity.MetresPerSecond]("wire_speed", "-2..2 m/min", "0..40 m/min", "0.0001..2 m/min"),
	readings[quantity.CubicMetresPerSecond]("gas_flow", "-5..5 L/min", "0..100 L/min", "0.001..5 L/min"),
	readings[quantity.Celsius]("temperature", "", "-60..1200 degC", "0.001..50 degC"), // which has no zero with the arc off
	[]Band{
		row[quantity.Ratio]("check.gain", usualGain, whyGain),
		row[quantity.Ratio]("check.beyond", "-50..100 %", "what was measured is less than half, or more than twice, of what is set or declared: one of the figures has slipped"),
		row[quantity.Ratio]("meter.reference-uncertainty", "0.001..10 %", "a reference is better than what is held against it"),
		row[quantity.Seconds]("zero.every", "0.05..600 s", "readings by hand or by a box, on one morning"),
		row[quantity.Metres]("wire-speed.length", "0.05..50 m", "what runs out of a feeder in a minute or two"),
		row[quantity.Seconds]("wire-speed.time", "1..600 s", "shorter is not timed by hand, longer empties the spool"),
		row[quantity.MetresPerSecond]("wire-speed.reading", "0.1..40 m/min", "feeders run from 1 to 25 m/min"),
		row[quantity.Metres]("wire-speed.length-limits", "0.01..100 mm", "how well a tape is read"),
		row[quantity.Seconds]("wire-speed.time-limits", "0.001..3 s", "how well a watch is pressed"),
		row[quantity.Ratio]("wire-speed.wanted", "0.05..20 %", "finer is no check with a tape, and coarser proves nothing"),
		row[quantity.Ratio]("rotation.turns", "0.5..200", "turns that a person waits for"),
		row[quantity.Ratio]("rotation.counted", "0.5..200", "turns that a person waits for"),
		row[quantity.Seconds]("rotation.time", "1..7200 s", "a turn takes seconds to minutes"),
		row[quantity.Degrees]("rotation.turn-limits", "0.05..45 deg", "how well a mark is met by eye"),
		row[quantity.Seconds]("rotation.time-limits", "0.001..3 s", "how well a watch is pressed"),
		row[quantity.Degrees]("centring.angle", "-360..360 deg", "it is an angle on the circle"),
		row[quantity.Metres]("centring.distance", "0.5..200 mm", "from the torch to the wall"),
		row[quantity.Metres]("centring.distance-limits", "0.005..5 mm", "how well a gauge is read"),
	},
)

// readings are the bands of what is read on a channel: at zero, against a meter, and of
// its uncertainty and its last digit.
func readings[Q quantity.Quantity](channel, zero, all, fine string) []Band {
	var bands []Band
	if zero != "" {
		bands = []Band{row[Q]("zero."+channel+".reading", zero, "with the arc and the source off a sensor reads next to nothing")}
	}
	return append(
		bands,
		row[Q]("meter."+channel+".reading", all, "a sensor for welding reads no more"),
		row[Q]("meter."+channel+".reference", all, "a source for welding gives no more"),
		row[Q]("meter."+channel+".reference-uncertainty", fine, "a reference is better than what is held against it"),
		row[Q]("meter."+channel+".resolution", fine, "it is the step of the last digit"),
	)
}

// ofPeople are notes while a job is laid, and measurements after it.
var ofPeople = []Band{
	row[quantity.Celsius]("note.temperature", "-30..700 degC", "colder is no workshop, and hotter steel glows"),
	row[quantity.CubicMetresPerSecond]("note.gas_flow", "0..60 L/min", "more draws in air"),
	row[quantity.Degrees]("note.torch_at", "-360..360 deg", "it is an angle on the circle"),
	row[quantity.Metres]("machining.depth", "0..3000 mm", "it is measured from the entry face inwards"),
	row[quantity.Degrees]("machining.angle", "0..360 deg", "it is an angle on the circle"),
	row[quantity.Metres]("machining.diameter", "20..1500 mm", "no torch turns in a smaller bore, and no boring bar reaches round a larger one"),
	row[quantity.Metres]("machining.uncertainty", "0.0005..0.5 mm", "better is a standards laboratory, worse says nothing of a fit"),
	row[quantity.Metres]("machining.wanted", "20..1500 mm", "no torch turns in a smaller bore, and no boring bar reaches round a larger one"),
}
