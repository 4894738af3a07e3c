package recording

import (
	"context"
	"errors"
	"slices"
	"time"

	"arctally/acquire"
	"arctally/acquire/modbus"
	"arctally/acquire/port"
	"arctally/analyze/procedure"
)

// PortOf says how the port of a sensor is opened.
func PortOf(s procedure.Sensor) port.Config {
	return port.Config{Name: s.Port, Baud: s.Baud, Even: s.Slave != nil && s.Slave.Even}
}

// BoxOf makes the box of a sensor, which speaks on a line; its port is filled in. Who
// only asks what the box is taken for has no line.
func BoxOf(s procedure.Sensor, line *port.Port, now func() time.Time) (acquire.Box, error) {
	if s.Slave != nil {
		return modbus.NewBox(line, modbus.Config{Slave: *s.Slave, Port: s.Port, Baud: s.Baud, Now: now}), nil
	}
	box, err := acquire.NewSpeaker(line, s.Link, s.Columns, now)
	box.Source.Port = s.Port
	return box, err
}

// lines are the ports of a session.
type lines []*port.Port

// openLines opens the ports of all sensors. That of the box that is to tell the arc must
// be there; any other one may come later.
func openLines(ctx context.Context, sensors []procedure.Sensor, now func() time.Time) (boxes []acquire.Box, open lines, err error) {
	for _, s := range sensors {
		c := PortOf(s)
		c.Awaited = true
		line, err := port.Open(ctx, c)
		if err != nil {
			return nil, nil, errors.Join(err, open.close())
		}
		open = append(open, line)
		box, err := BoxOf(s, line, now)
		if err != nil {
			return nil, nil, errors.Join(err, open.close())
		}
		boxes = append(boxes, box)
	}
	arc := slices.Index(acquire.Numbers(boxes), 0)
	if missing := open[arc].Missing(); missing != nil {
		return nil, nil, errors.Join(missing, open.close())
	}
	return boxes, open, nil
}

// close closes all of them.
func (l lines) close() (err error) {
	for _, line := range l {
		err = errors.Join(err, line.Close())
	}
	return err
}
