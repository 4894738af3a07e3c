package modbus

import (
	"fmt"
	"time"
)

// defaultBaud is the rate of a line whose job names none (sensor-link, "serial 8N1").
const defaultBaud = 115200

// Config says whom to poll, and for what.
type Config struct {
	Unit uint8  // 1 to 247
	Port string // the lasting name of the line
	Baud int    // 0 is 115200
	Echo bool   // the line sends back what is sent
	// Registers are the free map; none is the block map.
	Registers []Register
	// WirePerCount is the wire fed per count of the block map, in m; 0 is not known.
	WirePerCount float64
	Now          func() time.Time // host clock; nil is time.Now
}

// withDefaults fills in what was left out.
func (c Config) withDefaults() Config {
	if c.Baud == 0 {
		c.Baud = defaultBaud
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	return c
}

// name is what the slave is called, which says nothing of itself.
func (c Config) name() string { return fmt.Sprintf("Modbus unit %d", c.Unit) }

// place is what the slave is known by, for it has no serial: the line, and its unit there.
func (c Config) place() string { return fmt.Sprintf("%s unit %d", c.Port, c.Unit) }

// Type is how a value stands in its registers.
type Type string

// The types of a register of the free map.
const (
	U16 Type = "u16"
	I16 Type = "i16"
	U32 Type = "u32"
	I32 Type = "i32"
	F32 Type = "f32" // IEEE 754
)

// words is how many registers a value takes.
func (t Type) words() int {
	if t == U16 || t == I16 {
		return 1
	}
	return 2
}

// Register is one value of the free map.
type Register struct {
	Channel  string // voltage, current, wire_speed, gas_flow, ...
	Address  uint16 // of the first register, from 0, as on the wire
	Function uint8  // ReadHolding or ReadInput
	Type     Type
	LowFirst bool    // of two registers, the first has the low word
	Unit     string  // of the value; V and A for voltage and current
	Scale    float64 // value = register*Scale + Offset
	Offset   float64
}
