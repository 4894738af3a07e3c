package form

import (
	"strconv"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
)

const (
	roundUnlessStraight = "needed, unless the pattern is a straight bead"
	clockwise           = "clockwise from the reference mark, seen from the torch side"
)

func jobGroups() []Group {
	return append([]Group{
		{Name: "Job and people", Fields: []Field{
			text("job", "Job", "machine, part and bore, as the shop calls them").required(),
			{Key: "procedure", Label: "Procedure", Kind: File, Required: true, Help: "the qualified procedure file, as seen from the job file: procedures/NAME.yaml"},
			text("customer.name", "Customer", "who has the repair done; stands on the certificate"),
			text("customer.order", "Order", "the customer's number for it"),
			text("machine.name", "Machine", "what is repaired"),
			text("machine.serial", "Serial of the machine", "as on its plate"),
			text("people.operator", "Operator", "who welds"),
			text("people.inspector", "Inspector", "who inspects and decides about findings"),
		}},
		boreGroup(), depositGroup(), gapGroup(), rotationGroup(), setpointGroup(), sensorGroup(),
		materialGroup(), analysisGroup(), consumableGroup(), signalGroup(),
	}, instrumentGroups()...)
}

func boreGroup() Group {
	return Group{Name: "Bore", Help: "Measure where the bore is widest: the layers are planned from there.", Fields: []Field{
		amount[quantity.Metres]("bore.worn_diameter", "Worn diameter", "mm", "in", "as it is before welding; "+roundUnlessStraight).unlessStraight(),
		amount[quantity.Metres]("bore.finish_diameter", "Finish diameter", "mm", "in", "what it is to be machined to"),
		amount[quantity.Metres]("bore.weld_to_diameter", "Weld to diameter", "mm", "in", "down to here the metal is built up; less than the finish diameter by what is machined off"),
		amount[quantity.Metres]("bore.length", "Length", "mm", "in", "of the bore along its axis; "+roundUnlessStraight).unlessStraight(),
		{Key: "bore.axis", Label: "Axis", Kind: Text, Choices: []string{"horizontal", "vertical"}, Help: "how it lies: horizontal, vertical, or the angle from the horizontal, as 15 deg"},
	}}
}

func depositGroup() Group {
	return Group{Name: "Deposit", Fields: []Field{
		choice("deposit.pattern", "Pattern", "how a layer is laid", string(bore.Helix), string(bore.Rings), string(bore.SegmentReversing), string(bore.SegmentOneWay), string(bore.Straight)).required(),
		amount[quantity.Metres]("deposit.pitch", "Pitch", "mm", "in", "along the bore from bead to bead; "+roundUnlessStraight).unlessStraight(),
		amount[quantity.Metres]("deposit.wire_diameter", "Wire diameter", "mm", "in", "needed for layers, metal and wire"),
		amount[quantity.Ratio]("deposit.efficiency", "Deposition efficiency", "%", "%", "share of the wire that stays as metal").otherwise(quantity.Text(bore.DefaultEfficiency, "%", -1)),
		amount[quantity.Metres]("deposit.length", "Length of the bead", "mm", "in", "of a straight bead only; that of any other follows from the bore"),
	}}
}

func gapGroup() Group {
	return Group{
		Name: "Gaps", Help: "Angles that are left unwelded: a keyway, an oil hole. The torch must be off there.", Repeated: "deposit.gaps",
		Fields: []Field{
			amount[quantity.Degrees]("from", "From", "deg", "deg", clockwise).required(),
			amount[quantity.Degrees]("to", "To", "deg", "deg", clockwise+"; 360 deg is the mark again").required(),
		},
	}
}

func rotationGroup() Group {
	return Group{Name: "Rotation", Fields: []Field{
		amount[quantity.TurnsPerSecond]("rotation.speed", "Speed", "rpm", "rpm", "of the torch in the first layer"),
		amount[quantity.Degrees]("rotation.start_angle", "Start angle", "deg", "deg", "where the torch stands as the arc starts, "+clockwise+"; of segments where a gap ends, which is filled in where it is left empty").otherwise("0 deg"),
	}}
}

func setpointGroup() Group {
	return Group{Name: "Set-points", Help: "What the machine is set to.", Fields: []Field{
		amount[quantity.Volts]("setpoints.voltage", "Voltage", "V", "V", ""),
		amount[quantity.Amperes]("setpoints.current", "Current", "A", "A", ""),
		amount[quantity.MetresPerSecond]("setpoints.wire_speed", "Wire speed", "m/min", "in/min", ""),
		amount[quantity.MetresPerSecond]("setpoints.travel_speed", "Travel speed", "mm/min", "in/min", "of the torch along the wall"),
		amount[quantity.AmperesPerMetre]("setpoints.current_per_distance", "Current per distance", "A/mm", "A/in", "by how much the current falls as the torch is drawn back from the wall; tried at the machine"),
	}}
}

// The links of which some fields are asked for alone.
const (
	plainMeter = "columns"
	slave      = "modbus"
)

func sensorGroup() Group {
	return Group{Name: "Sensors", Help: "The sensor box that measures. Without one nothing can be recorded. Find it, or fill in what is asked for its kind.", Repeated: "sensors", Fields: []Field{
		text("port", "Port", "the socket that the box is plugged into; a name that stays the same from day to day begins with /dev/serial/by-id/ on Linux, COM on Windows, /dev/cu. on macOS").required(),
		choice("link", "Kind of box", "how it writes what it measures; its maker says so", "binary", "delimited", "lineprotocol", plainMeter, slave).
			saying("sensor box, binary frames", "sensor box, lines of text", "sensor box, line protocol", "plain meter, columns of figures", "Modbus, is asked for its figures").required(),
		number("baud", "Baud rate", "how fast the line is, as the box has it").otherwise(strconv.Itoa(series.DefaultBaud)),
		column("voltage", "Voltage", "V"),
		column("current", "Current", "A"),
		column("wire_speed", "Wire speed", "m/s"),
		column("gas_flow", "Gas flow", "L/min"),
		column("temperature", "Temperature", "degC"),
		choice("separator", "Between two columns stands a", "a semicolon where the figures have a comma", "comma", "semicolon", "tab", "space").only(plainMeter),
		choice("decimal", "Decimal mark", "in the figures of the meter", "point", "comma").otherwise("point").only(plainMeter),
		number("unit", "Modbus address", "1 to 247, as it is set at the box").only(slave),
		choice("map", "Modbus registers", "those of a transducer are listed in the file, under registers", "block").saying("as this program's boxes have them").only(slave),
		number("wire_m_per_count", "Wire per count", "what is fed while the box counts one, in m").only(slave),
		choice("parity", "Parity", "many boxes are set to even as they come", "none", "even").otherwise("none").only(slave),
		choice("echo", "The adapter hears itself", "as some two-wire adapters do", "true", "false").saying("yes", "no").otherwise("false").only(slave),
	}}
}

// column is where a plain meter has a quantity.
func column(key, label, unit string) Field {
	return text("columns."+key, label+" in column", "the number of the column; 2*0.1 where a figure in column 2 times 0.1 is in "+unit).only(plainMeter)
}

func materialGroup() Group {
	return Group{Name: "Material", Help: "The steel of the machine. Preheat and cooling rest on it.", Fields: []Field{
		text("material.grade", "Grade", "as on the drawing or the certificate"),
		amount[quantity.Metres]("material.thickness", "Wall thickness", "mm", "in", "of the wall around the bore"),
	}}
}

// elements are what an analysis of steel may list, with their names.
var elements = [][2]string{
	{"C", "Carbon"},
	{"Si", "Silicon"},
	{"Mn", "Manganese"},
	{"P", "Phosphorus"},
	{"S", "Sulphur"},
	{"Cr", "Chromium"},
	{"Mo", "Molybdenum"},
	{"V", "Vanadium"},
	{"Ni", "Nickel"},
	{"Cu", "Copper"},
	{"B", "Boron"},
	{"Al", "Aluminium"},
	{"Nb", "Niobium"},
	{"Ti", "Titanium"},
	{"N", "Nitrogen"},
}

func analysisGroup() Group {
	g := Group{Name: "Analysis of the steel", Help: "In mass %, of the mill certificate. What is not known is left empty, not 0."}
	for _, element := range elements {
		g.Fields = append(g.Fields, Field{
			Key: "material.analysis." + element[0], Label: element[1] + " " + element[0], Kind: Number, Units: []string{"%"}, US: "%",
		})
	}
	return g
}

func consumableGroup() Group {
	return Group{Name: "Consumables", Fields: []Field{
		text("consumables.wire", "Wire", "class of the wire"),
		text("consumables.wire_batch", "Batch of the wire", ""),
		text("consumables.gas", "Gas", "what it is mixed of"),
		text("consumables.gas_batch", "Batch of the gas", ""),
		amount[quantity.Hydrogen]("consumables.hydrogen", "Diffusible hydrogen", "ml/100g", "ml/100g", "of the weld metal; preheat rests on it"),
	}}
}

// signalGroup is what people say of the way from the arc to the samples.
func signalGroup() Group {
	leads := amount[quantity.Ohms]("signals.leads", "Resistance of the leads", "mohm", "mohm", "from there to the contact tip, with the work lead; it is not taken off, and widens the uncertainty")
	skew := amount[quantity.Seconds]("signals.skew", "Current later than voltage by", "us", "us", "0 us where both are sampled at once; in the file it may also say alternating")
	leads.Units, skew.Units = leads.Units[:1], []string{"us", "ms"} // in the others nobody would mean what is possible
	return Group{Name: "Voltage and current", Help: "How they are taken, where the box does not say. What nobody says widens the uncertainty, and keeps a pass from being proved.", Fields: []Field{
		choice("signals.voltage_tap", "Voltage is taken at the", "where its wires are connected", "torch", "feeder", "source"),
		leads,
		skew,
		amount[quantity.Hertz]("signals.voltage_bandwidth", "Bandwidth of voltage", "kHz", "kHz", "of its filter, at -3 dB"),
		amount[quantity.Hertz]("signals.current_bandwidth", "Bandwidth of current", "kHz", "kHz", "of its sensor and filter, at -3 dB"),
		{Key: "signals.clock", Label: "Clock of the box", Kind: Quantity, Units: []string{"ppm"}, US: "ppm", Help: "how far its oscillator may be off"},
	}}
}

// instrumentGroups are the calibrations, one group a channel.
func instrumentGroups() []Group {
	return []Group{
		instrumentGroup("voltage", "Voltage", amount[quantity.Volts], "V", "V"),
		instrumentGroup("current", "Current", amount[quantity.Amperes], "A", "A"),
		instrumentGroup("wire_speed", "Wire speed", amount[quantity.MetresPerSecond], "m/min", "in/min"),
		instrumentGroup("travel", "Travel", amount[quantity.MetresPerSecond], "mm/min", "in/min"),
		instrumentGroup("gas_flow", "Gas flow", amount[quantity.CubicMetresPerSecond], "L/min", "ft3/h"),
		instrumentGroup("temperature", "Temperature", amount[quantity.Celsius], "degC", "degC"),
	}
}

func instrumentGroup(channel, name string, offset func(key, label, first, us, help string) Field, first, us string) Group {
	key := "instruments." + channel + "."
	off := offset(key+"offset", "Offset", first, us, "is added after the gain").otherwise("0 " + first)
	if channel == "temperature" {
		off.Units = []string{first} // a difference; the zero of another scale would come into it
	}
	return Group{Name: "Calibration: " + name, Help: "What the certificate of the instrument says. A set-up check takes its place.", Fields: []Field{
		percentage(key+"standard_uncertainty", "Standard uncertainty", "half of an expanded uncertainty with k = 2"),
		number(key+"degrees_of_freedom", "Degrees of freedom", "of that uncertainty, where the certificate says"),
		number(key+"gain", "Gain", "what a reading is multiplied by").otherwise("1"),
		off,
		text(key+"date", "Calibrated on", "a day, as 2026-05-04"),
		text(key+"due", "Due on", "a day, as 2027-05-04"),
		text(key+"certificate", "Certificate", ""),
		text(key+"serial", "Serial of the box", "that was calibrated; left empty, the first that speaks"),
	}}
}
