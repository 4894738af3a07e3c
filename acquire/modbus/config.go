package modbus

import (
	"fmt"
	"time"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// Config says whom to poll.
type Config struct {
	Slave series.Slave
	Port  string           // the lasting name of the line
	Baud  int              // 0 is series.DefaultBaud
	Now   func() time.Time // host clock; nil is time.Now
}

// withDefaults fills in what was left out.
func (c Config) withDefaults() Config {
	if c.Baud == 0 {
		c.Baud = series.DefaultBaud
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	return c
}

// source is what is known of the slave before it was asked: nothing by itself.
func (c Config) source() series.Source {
	return series.Source{Name: fmt.Sprintf("Modbus unit %d", c.Slave.Unit), Port: c.Slave.At(c.Port), Link: link.Modbus}
}
