package links

import (
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"arctally/acquire/modbus"
	"arctally/acquire/port"
	"arctally/acquire/sensorbox"
)

// answering makes a pseudo-terminal behind a name in a folder, at whose other end a
// slave answers until the test ends.
func answering(t *testing.T, folder, name string, image func(modbus.Request) ([]uint16, modbus.Exception)) {
	t.Helper()
	master, slave, err := pty.Open()
	require.NoError(t, err)
	fd, err := unix.Dup(int(master.Fd()))
	require.NoError(t, err)
	require.NoError(t, master.Close())
	require.NoError(t, unix.SetNonblock(fd, true)) // so that closing it ends a read
	master = os.NewFile(uintptr(fd), "master")
	require.NoError(t, os.Symlink(slave.Name(), filepath.Join(folder, name)))
	served := make(chan error, 1)
	go func() { served <- (&sensorbox.Slave{Unit: 1, Image: image}).Serve(readWriter{master}) }()
	t.Cleanup(func() {
		assert.NoError(t, slave.Close())
		assert.NoError(t, master.Close())
		_ = <-served // it ends with the line
	})
}

// readWriter hides that a file can do more.
type readWriter struct{ io.ReadWriter }

// A slave that answers is found where nobody spoke, and how to record it is said; what
// the registers of one without the block map are stands in its manual alone.
func TestFind_Slave(t *testing.T) {
	folder := t.TempDir()
	answering(t, folder, "usb-block-if00", func(modbus.Request) ([]uint16, modbus.Exception) { return modbus.Block{Boot: 3}.Registers(), 0 })
	answering(t, folder, "usb-other-if00", sensorbox.Memory{}.Image)
	ports, err := Find(t.Context(), Options{Places: port.In(folder), For: 500 * time.Millisecond, Ask: AskSlave})
	require.NoError(t, err)
	require.Len(t, ports, 2)
	block, other := ports[0], ports[1]
	assert.Equal(t, Speaks, block.State)
	assert.Equal(t, "  - {port: "+filepath.Join(folder, "usb-block-if00")+", link: modbus, baud: 115200, unit: 1, map: block}\n", block.Sensor)
	assert.Equal(t, map[string]string{"port": block.Name, "link": "modbus", "baud": "115200", "unit": "1", "map": "block"}, block.Values())
	assert.Equal(t, "speaks modbus at 115200 baud: Modbus unit 1, without a serial number; it answers with the block map of sums", block.Says())
	assert.Equal(t, Speaks, other.State)
	assert.Empty(t, other.Sensor)
	assert.Contains(t, other.Says(), "has no block map: list its registers")
}
