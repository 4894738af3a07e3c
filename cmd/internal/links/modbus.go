package links

import (
	"context"
	"io"

	"arctally/acquire/link"
	"arctally/acquire/modbus"
)

// firstUnits are those that are asked. Ours, no source: a slave that nobody has set
// has the first, and a line on which nobody speaks is not to be asked for long.
var firstUnits = []uint8{1, 2}

// AskModbus is the Asker for the slaves of a Modbus line.
func AskModbus(ctx context.Context, line io.ReadWriter, baud int) *Speech {
	found, err := modbus.Probe(ctx, line, baud, firstUnits)
	if err != nil || len(found) == 0 {
		return nil // a line that fails is told by who listens to it
	}
	return &Speech{Link: link.Modbus, Baud: baud, Frames: int64(len(found)), unit: found[0].Unit, noMap: !found[0].Block, Arc: found[0].Block}
}
