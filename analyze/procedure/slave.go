package procedure

import (
	"math"
	"strconv"

	"go.yaml.in/yaml/v3"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
)

// modbusLink is the link of a slave that is polled.
const modbusLink = "modbus"

// slaveKeys are those of a sensor that only a slave has.
var slaveKeys = []string{"unit", "map", "registers", "wire_m_per_count", "parity", "echo"}

// Bounds of a slave: its unit and its addresses by Modbus over serial line V1.02, 2.2 and
// Modbus V1.1b3, 4.4; the wire of a count as of a HELLO (sensor-link, "Bounds").
const (
	lowestUnit, highestUnit = 1, 247
	highestAddress          = 65535
	leastWire, mostWire     = 1e-9, 1e3
)

// readSlave reads what of a slave is to be polled, and how; nil where the link is
// another, which has no use for it.
func readSlave(s section, link string) *series.Slave {
	given := false
	for _, key := range slaveKeys {
		n := s.values[key]
		given = given || n != nil
		if n != nil && link != "" && link != modbusLink {
			s.doc.fail(n, "%s is for link: %s, not for %s", s.path(key), modbusLink, link)
		}
	}
	if link == modbusLink {
		s.need("unit")
	} else if !given || link != "" {
		return nil
	}
	slave := &series.Slave{
		Unit: uint8(whole(s, "unit", lowestUnit, highestUnit)), Registers: readRegisters(s),
		Even: s.choice("parity", "none", "even") == "even", Echo: s.choice("echo", "true", "false") == "true",
	}
	block := s.choice("map", "block")
	switch n := s.values["registers"]; {
	case block != "" && n != nil:
		s.doc.fail(n, "%s and %s are two maps; write one of them", s.path("registers"), s.path("map"))
	case block == "" && n == nil && s.values["map"] == nil && link == modbusLink:
		s.doc.fail(s.node, "%s is missing; write map: block, or registers: [...]", s.path("map"))
	}
	slave.WirePerCount = number(s, "wire_m_per_count", 0)
	if n := s.values["wire_m_per_count"]; n != nil && slave.WirePerCount != 0 {
		switch {
		case slave.WirePerCount < leastWire || slave.WirePerCount > mostWire:
			s.doc.fail(n, "%s must be from %v to %v, in m, not %s", s.path("wire_m_per_count"), leastWire, mostWire, n.Value)
		case s.values["registers"] != nil:
			s.doc.fail(n, "%s is for map: block, which counts wire", s.path("wire_m_per_count"))
		}
	}
	return slave
}

// readRegisters reads a map such as transducers have.
func readRegisters(sensor section) (registers []series.Register) {
	at := map[string]*yaml.Node{}
	list := sensor.list("registers")
	for _, n := range list {
		s := sensor.doc.section(n, "register", "channel", "address", "function", "type", "order", "unit", "scale", "offset")
		s.need("channel", "address", "function", "type")
		r := readRegister(s)
		if r.Channel == "" {
			continue
		}
		if first := at[r.Channel]; first != nil {
			s.doc.fail(s.values["channel"], "%s %s is read at %d:%d already", s.path("channel"), r.Channel, first.Line, first.Column)
		}
		at[r.Channel] = s.values["channel"]
		registers = append(registers, r)
	}
	for _, pair := range [][2]string{{"voltage", "current"}, {"current", "voltage"}} {
		if at[pair[0]] != nil && at[pair[1]] == nil {
			sensor.doc.fail(at[pair[0]], "register.channel %s counts only together with %s", pair[0], pair[1])
		}
	}
	if n := sensor.values["registers"]; n != nil && n.Kind == yaml.SequenceNode && len(list) == 0 {
		sensor.doc.fail(n, "%s names no register", sensor.path("registers"))
	}
	return registers
}

func readRegister(s section) series.Register {
	r := series.Register{
		Channel: s.choice("channel", series.ColumnChannels()...), Address: uint16(whole(s, "address", 0, highestAddress)),
		Function: uint8(whole(s, "function", series.ReadHolding, series.ReadInput)),
		Type:     series.RegisterType(s.choice("type", string(series.U16), string(series.I16), string(series.U32), string(series.I32), string(series.F32))),
		LowFirst: s.choice("order", "high-first", "low-first") == "low-first",
		Scale:    number(s, "scale", 1), Offset: number(s, "offset", 0),
	}
	if n := s.values["order"]; n != nil && r.Type != "" && r.Type.Words() == 1 {
		s.doc.fail(n, "%s is for values of two registers, not for %s", s.path("order"), r.Type)
	}
	if n := s.values["scale"]; n != nil && r.Scale == 0 {
		s.doc.fail(n, "%s cannot be 0", s.path("scale"))
	}
	if n := s.values["address"]; n != nil && r.Type != "" && int(r.Address)+r.Type.Words() > highestAddress+1 {
		s.doc.fail(n, "%s %d: there is no second register behind it", s.path("address"), r.Address)
	}
	r.Unit = s.text("unit")
	if r.Unit == "" {
		r.Unit = series.UnitOfColumn(r.Channel)
	} else if r.Channel != "" && !isUnitOf(r.Channel, r.Unit) {
		s.doc.fail(s.values["unit"], "%s %q is none that %s may have; write %s, and a scale", s.path("unit"), r.Unit, r.Channel, series.UnitOfColumn(r.Channel))
	}
	return r
}

// isUnitOf reports whether a channel may come in a unit. Voltage and current come as
// codes, which know V and A alone.
func isUnitOf(channel, unit string) bool {
	var err error
	switch channel {
	case "wire_speed":
		_, err = quantity.Parse[quantity.MetresPerSecond]("1 " + unit)
	case "gas_flow":
		_, err = quantity.Parse[quantity.CubicMetresPerSecond]("1 " + unit)
	case "temperature":
		_, err = quantity.Parse[quantity.Celsius]("1 " + unit)
	default:
		return unit == series.UnitOfColumn(channel)
	}
	return err == nil
}

// whole returns the whole number under a key, 0 where there is none.
func whole(s section, key string, least, most int) int {
	n := s.scalar(key)
	if n == nil {
		return 0
	}
	x, err := strconv.Atoi(n.Value)
	if err != nil || x < least || x > most {
		s.doc.fail(n, "%s must be a whole number from %d to %d, not %s", s.path(key), least, most, n.Value)
		return 0
	}
	return x
}

// number returns the number under a key, which has no unit.
func number(s section, key string, otherwise float64) float64 {
	n := s.scalar(key)
	if n == nil {
		return otherwise
	}
	x, err := strconv.ParseFloat(n.Value, 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		s.doc.fail(n, "%s must be a number, not %s", s.path(key), n.Value)
		return otherwise
	}
	return x
}
