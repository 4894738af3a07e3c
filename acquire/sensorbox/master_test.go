package sensorbox_test

import (
	"context"
	"errors"
	"io"
	"log"
	"math"
	"testing"
	"time"

	master "github.com/simonvetter/modbus"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/sensorbox"
)

// TestSlave_ReadByAnotherMaster has a master that others wrote read the virtual slave:
// both maps, and an exception.
func TestSlave_ReadByAnotherMaster(t *testing.T) {
	plan := sensorbox.Demo()
	plan.Link, plan.PlaySpeed = sensorbox.LinkModbus, 2
	box, err := sensorbox.New(plan)
	require.NoError(t, err)
	name, err := box.Open()
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	played := make(chan error, 1)
	go func() {
		_, err := box.Play(ctx)
		played <- err
	}()
	client, err := master.NewClient(&master.ClientConfiguration{
		URL: "rtu://" + name, Speed: 115200, DataBits: 8, Parity: master.PARITY_NONE, StopBits: 1,
		Timeout: 5 * time.Second, Logger: log.New(io.Discard, "", 0),
	})
	require.NoError(t, err)
	require.NoError(t, client.Open())
	require.NoError(t, client.SetUnitId(sensorbox.ModbusUnit))

	var energy, tick uint64
	for deadline := time.Now().Add(time.Minute); energy < 1000; {
		require.True(t, time.Now().Before(deadline), "an arc burns in the third second of the plan")
		registers, err := client.ReadRegisters(0, 34, master.INPUT_REGISTER)
		require.NoError(t, err)
		require.Len(t, registers, 34)
		assert.Equal(t, uint16(0x0101), registers[0])
		assert.Equal(t, registers[3], registers[33], "the sequence number, again")
		// Each by another request, which takes the words of this library together.
		now, err := client.ReadUint64(4, master.INPUT_REGISTER)
		require.NoError(t, err)
		require.GreaterOrEqual(t, now, tick)
		tick = now
		energy, err = client.ReadUint64(10, master.INPUT_REGISTER)
		require.NoError(t, err)
	}
	tick, err = client.ReadUint64(4, master.INPUT_REGISTER) // the one before is older than the energy
	require.NoError(t, err)
	assert.Greater(t, tick, uint64(2_000_000), "us")

	high, err := client.ReadFloat32s(sensorbox.HoldingHighFirst, 2, master.HOLDING_REGISTER)
	require.NoError(t, err)
	require.NoError(t, client.SetEncoding(master.BIG_ENDIAN, master.LOW_WORD_FIRST))
	low, err := client.ReadFloat32s(sensorbox.HoldingLowFirst, 2, master.HOLDING_REGISTER)
	require.NoError(t, err)
	// Read one after the other, the arc goes on meanwhile, or is out and the voltage that
	// of the open circuit. With its words the wrong way round a number is tiny or huge, but for some in a thousand.
	for _, x := range [][]float32{high, low} {
		volts, amperes := math.Abs(float64(x[0])), math.Abs(float64(x[1]))
		assert.True(t, volts > 0.5 && volts < 120, "%g V", volts)
		assert.True(t, amperes == 0 || amperes > 0.01 && amperes < 600, "%g A", amperes)
	}
	_, err = client.ReadRegisters(30, 10, master.INPUT_REGISTER)
	require.ErrorIs(t, err, master.ErrIllegalDataAddress)
	stop()
	require.NoError(t, client.Close())
	if err := <-played; !errors.Is(err, context.Canceled) {
		require.NoError(t, err)
	}
	require.NoError(t, box.Close())
}
