package series

import "fmt"

// DefaultBaud is the rate of a line whose job names none (sensor link, "serial 8N1").
const DefaultBaud = 115200

// Slave says what of a Modbus slave is to be read, and how its line is.
type Slave struct {
	Unit uint8 // 1 to 247
	// Registers are a map such as transducers have; none is the block map of sums.
	Registers []Register
	// WirePerCount is the wire fed per count of the block map, in m; 0 is not known.
	WirePerCount float64
	Even         bool // parity; none otherwise
	Echo         bool // the line sends back what is sent
}

// At names the slave on its line, by which it is known: it has no serial.
func (s Slave) At(port string) string { return fmt.Sprintf("%s unit %d", port, s.Unit) }

// The functions that read registers.
const (
	ReadHolding = 3
	ReadInput   = 4
)

// RegisterType is how a value stands in its registers.
type RegisterType string

// The types of a value.
const (
	U16 RegisterType = "u16"
	I16 RegisterType = "i16"
	U32 RegisterType = "u32"
	I32 RegisterType = "i32"
	F32 RegisterType = "f32" // IEEE 754
)

// Words is how many registers a value takes.
func (t RegisterType) Words() int {
	if t == U16 || t == I16 {
		return 1
	}
	return 2
}

// Register is one value of a slave.
type Register struct {
	Channel  string // voltage, current, wire_speed, gas_flow, ...
	Address  uint16 // of the first register, from 0, as on the wire
	Function uint8  // ReadHolding or ReadInput
	Type     RegisterType
	LowFirst bool    // of two registers, the first has the low word
	Unit     string  // of the value; V and A for voltage and current
	Scale    float64 // value = register*Scale + Offset
	Offset   float64
}
