package links

import (
	"context"
	"fmt"
	"io"

	"arctally/acquire/link"
	"arctally/acquire/modbus"
)

// usualUnits are those that a slave has as it comes from its maker. Others are not asked
// for: each that is not there costs 0.4 s at each baud rate. Common practice, no source.
var usualUnits = []uint8{1}

// AskSlave is the Asker for a Modbus slave. One that has no block map has registers that
// only its manual tells: there is no line for the job file then.
func AskSlave(ctx context.Context, line io.ReadWriter, baud int) *Speech {
	// A line that cannot be asked has no slave on it, as far as anybody knows.
	found, _ := modbus.Probe(ctx, line, baud, usualUnits)
	if len(found) == 0 {
		return nil
	}
	return &Speech{
		Link: link.Modbus, Baud: baud, Name: fmt.Sprintf("Modbus unit %d", found[0].Unit),
		Arc: found[0].Block, slave: &found[0],
	}
}

// slaveKeys are those of a slave in the job file.
func (s *Speech) slaveKeys() map[string]string {
	if s.slave == nil || !s.slave.Block {
		return nil
	}
	return map[string]string{"unit": fmt.Sprint(s.slave.Unit), "map": "block"}
}
