package procedure

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// slaveHead is a job file up to the keys of a slave.
const slaveHead = "job: A\nprocedure: p\ndeposit: {pattern: straight}\nsensors:\n  - {port: a, link: modbus, "

// TestParseJob_Slave reads the block map, and maps of registers.
func TestParseJob_Slave(t *testing.T) {
	for text, want := range map[string]series.Slave{
		"unit: 1, map: block}": {Unit: 1},
		"unit: 247, map: block, parity: even, echo: true, wire_m_per_count: 0.5e-3}": {Unit: 247, Even: true, Echo: true, WirePerCount: 0.5e-3},
		"unit: 3, parity: none, echo: false, registers: [{channel: gas_flow, address: 10, type: f32, function: 4, unit: L/min, order: low-first, scale: 0.5, offset: -1}]}": {
			Unit: 3, Registers: []series.Register{{Channel: "gas_flow", Address: 10, Function: 4, Type: series.F32, LowFirst: true, Unit: "L/min", Scale: 0.5, Offset: -1}},
		},
		"unit: 3, registers: [{channel: voltage, address: 0, type: u16, function: 3, scale: 0.01}, {channel: current, address: 65534, type: i32, order: high-first, function: 3, unit: A}]}": {
			Unit: 3, Registers: []series.Register{
				{Channel: "voltage", Address: 0, Function: 3, Type: series.U16, Unit: "V", Scale: 0.01},
				{Channel: "current", Address: 65534, Function: 3, Type: series.I32, Unit: "A", Scale: 1},
			},
		},
		"unit: 3, registers: [{channel: wire_speed, address: 7, type: i16, function: 4, unit: in/min}]}": {
			Unit: 3, Registers: []series.Register{{Channel: "wire_speed", Address: 7, Function: 4, Type: series.I16, Unit: "in/min", Scale: 1}},
		},
	} {
		job, err := ParseJob("j", []byte(slaveHead+text))
		require.NoError(t, err, text)
		assert.Equal(t, Sensor{Port: "a", Link: "modbus", Baud: 115200, Slave: &want}, job.Sensors[0], text)
	}
	job, err := ParseJob("j", []byte("job: A\nprocedure: p\ndeposit: {pattern: straight}\nsensors: [{port: a, link: binary}]"))
	require.NoError(t, err)
	assert.Nil(t, job.Sensors[0].Slave)
}

// TestParseJob_SlaveErrors spoils what a slave has, each at its line and column.
func TestParseJob_SlaveErrors(t *testing.T) {
	const gas = "channel: gas_flow, address: 1, type: u16, function: 3"
	for text, want := range map[string]string{
		"map: block}":                                                        "5:5: sensor.unit is missing",
		"unit: ①0, map: block}":                                              "①: sensor.unit must be a whole number from 1 to 247, not 0",
		"unit: ①248, map: block}":                                            "①: sensor.unit must be a whole number from 1 to 247, not 248",
		"unit: ①1.5, map: block}":                                            "①: sensor.unit must be a whole number from 1 to 247, not 1.5",
		"unit: 1}":                                                           "5:5: sensor.map is missing; write map: block, or registers: [...]",
		"unit: 1, map: ①other}":                                              `①: sensor.map cannot be "other"; write block`,
		"unit: 1, map: block, parity: ①odd}":                                 `①: sensor.parity cannot be "odd"; write none or even`,
		"unit: 1, map: block, echo: ①maybe}":                                 `①: sensor.echo cannot be "maybe"; write true or false`,
		"unit: 1, map: block, ①speed: 3}":                                    "①: sensor has no key \"speed\"; write port, link, baud, columns, separator, decimal, unit, map, registers, wire_m_per_count, parity or echo",
		"unit: 1, map: block, wire_m_per_count: ①5 mm}":                      "①: sensor.wire_m_per_count must be a number, not 5 mm",
		"unit: 1, map: block, wire_m_per_count: ①1e9}":                       "①: sensor.wire_m_per_count must be from 1e-09 to 1000, in m, not 1e9",
		"unit: 1, wire_m_per_count: ①1, registers: [{" + gas + "}]}":         "①: sensor.wire_m_per_count is for map: block, which counts wire",
		"unit: 1, map: block, registers: ①[{" + gas + "}]}":                  "①: sensor.registers and sensor.map are two maps; write one of them",
		"unit: 1, registers: ①[]}":                                           "①: sensor.registers names no register",
		"unit: 1, registers: ①5}":                                            "①: sensor.registers must be a list: [...]",
		"unit: 1, registers: [①{channel: gas_flow, address: 1, type: u16}]}": "①: register.function is missing",
		"unit: 1, registers: [{channel: ①pressure, address: 1, type: u16, function: 3}]}":                                                                  `①: register.channel cannot be "pressure"; write voltage, current, wire_speed, gas_flow or temperature`,
		"unit: 1, registers: [{channel: gas_flow, address: ①65536, type: u16, function: 3}]}":                                                              "①: register.address must be a whole number from 0 to 65535, not 65536",
		"unit: 1, registers: [{channel: gas_flow, address: ①65535, type: u32, function: 3}]}":                                                              "①: register.address 65535: there is no second register behind it",
		"unit: 1, registers: [{channel: gas_flow, address: 1, type: ①f64, function: 3}]}":                                                                  `①: register.type cannot be "f64"; write u16, i16, u32, i32 or f32`,
		"unit: 1, registers: [{channel: gas_flow, address: 1, type: u16, function: ①5}]}":                                                                  "①: register.function must be a whole number from 3 to 4, not 5",
		"unit: 1, registers: [{" + gas + ", order: ①low-first}]}":                                                                                          "①: register.order is for values of two registers, not for u16",
		"unit: 1, registers: [{" + gas + ", scale: ①0}]}":                                                                                                  "①: register.scale cannot be 0",
		"unit: 1, registers: [{" + gas + ", scale: ①.nan}]}":                                                                                               "①: register.scale must be a number, not .nan",
		"unit: 1, registers: [{" + gas + ", offset: ①inf}]}":                                                                                               "①: register.offset must be a number, not inf",
		"unit: 1, registers: [{" + gas + ", unit: ①m/s}]}":                                                                                                 `①: register.unit "m/s" is none that gas_flow may have; write L/min, and a scale`,
		"unit: 1, registers: [{" + gas + "}, {channel: ①gas_flow, address: 3, type: u16, function: 3}]}":                                                   "①: register.channel gas_flow is read at 5:60 already",
		"unit: 1, registers: [{channel: ①voltage, address: 1, type: u16, function: 3}]}":                                                                   "①: register.channel voltage counts only together with current",
		"unit: 1, registers: [{channel: voltage, address: 1, type: u16, function: 3, unit: ①mV}, {channel: current, address: 3, type: u16, function: 3}]}": `①: register.unit "mV" is none that voltage may have; write V, and a scale`,
	} {
		spoilt, wanted := spoil(t, []byte(slaveHead+"HERE"), "HERE", text, want)
		_, err := ParseJob("j", spoilt)
		require.Error(t, err, text)
		assert.Equal(t, "j:"+wanted, err.Error(), text)
	}
	_, err := ParseJob("j", []byte("job: A\nprocedure: p\ndeposit: {pattern: straight}\nsensors:\n  - {port: a, link: binary, unit: 3}"))
	assert.EqualError(t, err, "j:5:35: sensor.unit is for link: modbus, not for binary")
}
