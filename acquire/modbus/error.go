package modbus

import "fmt"

// Kind says what came of a poll that gave no reading.
type Kind uint8

// The kinds of error.
const (
	Silent    Kind = iota + 1 // nothing came within the time of an answer
	Damaged                   // what came has no answer in it
	Twice                     // more came than one answer: one of them is late
	Refused                   // the slave answered with an exception
	Torn                      // the slave changed its registers while they were read
	NotTheMap                 // the registers are those of another map
	BadValue                  // a register has a value that its quantity cannot have
	Unproved                  // no later reading bears it out
	NoEcho                    // silent, and not even what was sent came back, as the job says it does
)

// String returns the kind in words.
func (k Kind) String() string {
	words := [...]string{
		"", "no answer", "damaged answer", "more than one answer", "refused", "torn reading",
		"not the block map", "value is out of range", "contradicted by the next reading", "no echo",
	}
	if int(k) >= len(words) || k == 0 {
		return "unknown kind of error"
	}
	return words[k]
}

// Exception is the code by which a slave refuses (Modbus V1.1b3, 7).
type Exception uint8

// The exceptions that say that a request will never be answered otherwise.
const (
	IllegalFunction Exception = 1
	IllegalAddress  Exception = 2
	IllegalValue    Exception = 3
)

// known are the names of the exceptions, and what to do.
var known = map[Exception]struct{ name, do string }{
	IllegalFunction: {"illegal function", "the slave has no such registers: set function to the other of 3 and 4"},
	IllegalAddress:  {"illegal data address", "compare the addresses with the slave's manual: many count from 1 where the wire counts from 0, and write 30001 or 40001 for the first"},
	IllegalValue:    {"illegal data value", "the slave gives fewer registers at a time: list registers that lie closer together"},
	4:               {"slave device failure", "look at the slave itself: it says that it failed"},
	5:               {"acknowledge", "the slave needs more time: it is asked again"},
	6:               {"slave device busy", "the slave is busy with something else: it is asked again"},
	8:               {"memory parity error", "look at the slave itself: its memory failed"},
	10:              {"gateway path unavailable", "look at the gateway between the line and the slave"},
	11:              {"gateway target failed to respond", "the gateway is there, the slave behind it is not: check its supply and its unit"},
}

// String returns the code and the name of the exception.
func (e Exception) String() string {
	if k, ok := known[e]; ok {
		return fmt.Sprintf("exception %d, %s", uint8(e), k.name)
	}
	return fmt.Sprintf("exception %d, which has no name", uint8(e))
}

// lasting reports whether asking again is of no use.
func (e Exception) lasting() bool { return e >= IllegalFunction && e <= IllegalValue }

// Error is a poll that gave no reading.
type Error struct {
	Kind      Kind
	Request   Request
	Exception Exception // of kind Refused
	Detail    string    // which register, which value; may be empty
}

// Error returns the unit, what was asked for, and what came of it.
func (e *Error) Error() string {
	text := fmt.Sprintf("modbus: unit %d, function %d, registers %d to %d: %s",
		e.Request.Unit, e.Request.Function, e.Request.Address, int(e.Request.Address)+int(e.Request.Count)-1, e.Kind)
	if e.Kind == Refused {
		text += ": " + e.Exception.String()
	}
	if e.Detail != "" {
		text += ": " + e.Detail
	}
	return text
}

// Hint returns what the operator can do next.
func (e *Error) Hint() string {
	switch e.Kind {
	case Refused:
		if k, ok := known[e.Exception]; ok {
			return k.do
		}
		return "look the exception up in the slave's manual"
	case Silent:
		return "check the supply of the slave, A and B of the pair, its unit, baud rate and parity: set them in the job file as the slave has them"
	case NotTheMap:
		return "the slave has no block map of sums: list its registers in the job file, with registers in place of map"
	case NoEcho:
		return "look at the adapter and its supply: it does not hear itself; or take echo: true out of the job file"
	default:
		return "check the pair, its ends (120 ohm at both) and its shield: the line is disturbed"
	}
}
