package links

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/port"
	"arctally/acquire/series"
	"arctally/analyze/procedure"
)

// The lines are those of a job file, whatever a port is called: the strict parser
// reads from them what was heard.
func TestSensors_AreReadByTheParser(t *testing.T) {
	layout := func(separator, point byte) *series.Layout {
		return &series.Layout{Separator: separator, Point: point, Columns: []series.Column{
			{Channel: "voltage", Number: 1, Factor: 1}, {Channel: "current", Number: 2, Factor: 0.1},
		}}
	}
	ports := []Port{
		{Name: "/dev/serial/by-id/usb-1a86_USB_Serial-if00-port0", Speech: &Speech{Link: "binary", Baud: 921600}},
		{Name: "/dev/serial/by-path/pci-0000:00:14.0-usb-0:2:1.0-port0", Speech: &Speech{Link: "delimited", Baud: 9600}},
		{Name: "/dev/a, {b}: [c] #d 'e' \"f\" \\x&*!|>%@`", Speech: &Speech{Link: "lineprotocol", Baud: 57600}},
		{Name: "/dev/comma", Speech: &Speech{Link: "columns", Baud: 9600, Layout: layout(';', ',')}},
		{Name: "/dev/tab", Speech: &Speech{Link: "columns", Baud: 9600, Layout: layout('\t', '.')}},
		{Name: "/dev/plain", Speech: &Speech{Link: "columns", Baud: 9600, Layout: layout(',', '.')}},
		{Name: "/dev/silent", State: Silent},
	}
	for k := range ports {
		if ports[k].Speech != nil {
			ports[k].Sensor = ports[k].sensorLine()
		}
	}
	job, err := procedure.ParseJob("job.yaml", []byte("job: A\nprocedure: p\ndeposit: {pattern: straight}\n"+Sensors(ports)))
	require.NoError(t, err)
	require.Len(t, job.Sensors, 6)
	for k, s := range job.Sensors {
		assert.Equal(t, procedure.Sensor{Port: ports[k].Name, Link: ports[k].Speech.Link, Baud: ports[k].Speech.Baud, Columns: ports[k].Speech.Layout}, s)
	}
	assert.Empty(t, Sensors(ports[6:]))
	assert.NotContains(t, Text(ports[6:]), "sensors:")
	assert.Contains(t, Text(ports), "\nsensors:\n  - {port: /dev/serial/by-id/usb-1a86")
}

func TestBusy(t *testing.T) {
	for _, c := range []struct {
		held []port.Holder
		says string
		hint string
	}{
		{[]port.Holder{{Process: 4, Name: "screen"}, {Process: 5, Name: "ModemManager"}}, "process 5 (ModemManager) has it open", "udev"},
		{[]port.Holder{{Process: 4, Name: "arctally"}}, "process 4 (arctally) has it open", "being recorded"},
		{[]port.Holder{{Process: 4}}, "process 4 has it open", "end that program"},
	} {
		var p Port
		p.busy(c.held)
		assert.Equal(t, Busy, p.State)
		assert.Equal(t, c.says, p.Problem)
		assert.Contains(t, p.Hint, c.hint)
	}
	var p Port
	p.closed(&port.Error{Op: "open", Port: "p", Kind: port.Missing})
	assert.Equal(t, Closed, p.State)
	assert.NotEmpty(t, p.Hint)
}

func TestAmount(t *testing.T) {
	assert.Equal(t, "12.3", amount(12.34))
	assert.Equal(t, "10.0 k", amount(10000))
	assert.Zero(t, (&Speech{Frames: 3}).PerSecond(3))
}
