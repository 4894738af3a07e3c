package modbus

import (
	"context"
	"errors"
	"io"

	"arctally/acquire/series"
)

// Found is a slave that answered.
type Found struct {
	Unit uint8
	// Block is set where it answered with the block map; else it has other registers.
	Block bool
}

// Probe asks units in turn for the block map, and returns those that answer. It takes
// some 0.4 s for each that does not. It ends once no read of the line is under way any
// more: the line is one whose reads come back now and then without a byte. The error is
// that of ctx, or of the line.
func Probe(ctx context.Context, wire io.ReadWriter, baud int, units []uint8) (found []Found, err error) {
	probing, stop := context.WithCancel(ctx)
	l := newLine(probing, wire, Config{Baud: baud}.withDefaults(), quiet, func(series.Event) {})
	defer func() {
		l.timer.Stop()
		stop()
		<-l.unread
	}()
	for _, unit := range units {
		x, err := l.ask(probing, Request{Unit: unit, Function: series.ReadInput, Count: BlockRegisters})
		var damage *Error
		switch {
		case errors.As(err, &damage):
			continue
		case ctx.Err() != nil:
			return found, ctx.Err()
		case err != nil:
			return found, errors.Join(err, l.failed)
		}
		_, wrong := readBlock(x.registers)
		found = append(found, Found{Unit: unit, Block: x.registers != nil && wrong != NotTheMap})
	}
	return found, nil
}
