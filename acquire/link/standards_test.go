package link

import (
	"encoding/hex"
	"fmt"
	"hash/crc32"
	"math/bits"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const testdata = "../../testdata"

// standard reads a table of check values: one map of column to text for each row.
func standard(t *testing.T, name string) []map[string]string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(testdata, "standards", name))
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	columns := strings.Split(lines[0], "\t")
	var rows []map[string]string
	for _, line := range lines[1:] {
		row := map[string]string{}
		for k, field := range strings.Split(line, "\t") {
			row[columns[k]] = field
		}
		require.NotEmpty(t, row["source"], line)
		require.NotEmpty(t, row["standing"], line)
		rows = append(rows, row)
	}
	return rows
}

// bytesOf reads bytes in hex; 01..FE is all from the one to the other.
func bytesOf(t *testing.T, text string) []byte {
	t.Helper()
	var data []byte
	for _, word := range strings.Fields(text) {
		low, high, isRange := strings.Cut(word, "..")
		if !isRange {
			high = low
		}
		from, err := strconv.ParseUint(low, 16, 8)
		require.NoError(t, err)
		to, err := strconv.ParseUint(high, 16, 8)
		require.NoError(t, err)
		for b := from; b <= to; b++ {
			data = append(data, byte(b))
		}
	}
	return data
}

// stuffed returns the COBS run of data.
func stuffed(data []byte) []byte {
	codes := 1 + len(data)/fullRun
	return stuff(append(make([]byte, codes), data...), 0, codes)
}

func TestCOBSStandards(t *testing.T) {
	rows := standard(t, "cobs.tsv")
	require.Len(t, rows, 12)
	for _, row := range rows {
		t.Run(row["id"], func(t *testing.T) {
			data, run := bytesOf(t, row["data"]), bytesOf(t, row["encoded"])
			assert.Equal(t, hex.EncodeToString(run), hex.EncodeToString(stuffed(data)))
			got := make([]byte, len(run))
			n, ok := decodeCOBS(got, run)
			assert.True(t, ok)
			assert.Equal(t, hex.EncodeToString(data), hex.EncodeToString(got[:n]))
		})
	}
}

// crcModel is a CRC in the parameters of the tables, one bit at a time.
type crcModel struct {
	width               int
	poly, init, xorOut  uint64
	reflectIn, reflectO bool
}

func (m crcModel) sum(data []byte) uint64 {
	top := uint64(1) << (m.width - 1)
	mask := top<<1 - 1
	register := m.init
	for _, b := range data {
		if m.reflectIn {
			b = bits.Reverse8(b)
		}
		register ^= uint64(b) << (m.width - 8)
		for range 8 {
			carry := register & top
			register = register << 1 & mask
			if carry != 0 {
				register ^= m.poly
			}
		}
	}
	if m.reflectO {
		register = bits.Reverse64(register) >> (64 - m.width)
	}
	return register ^ m.xorOut
}

func crcModelOf(t *testing.T, row map[string]string) crcModel {
	t.Helper()
	number := func(column string, base int) uint64 {
		n, err := strconv.ParseUint(row[column], base, 64)
		require.NoError(t, err)
		return n
	}
	return crcModel{
		width: int(number("width", 10)), poly: number("poly", 16), init: number("init", 16), xorOut: number("xorout", 16),
		reflectIn: row["refin"] == "t", reflectO: row["refout"] == "t",
	}
}

func TestCRCStandards(t *testing.T) {
	rows := standard(t, "crc.tsv")
	require.Len(t, rows, 14)
	digits := []byte("123456789")
	library := map[string]*crc32.Table{"CRC-32/ISCSI": castagnoli, "CRC-32/ISO-HDLC": crc32.IEEETable}
	for _, row := range rows {
		t.Run(row["id"], func(t *testing.T) {
			model := crcModelOf(t, row)
			assert.Equal(t, row["check"], fmt.Sprintf("%0*X", model.width/4, model.sum(digits)))
			table, ok := library[row["id"]]
			if !ok {
				return
			}
			delete(library, row["id"])
			for size := range 600 { // past every block size of the fast versions
				data := stuffed(make([]byte, size))
				assert.Equal(t, model.sum(data), uint64(crc32.Checksum(data, table)), "%d bytes", size)
			}
		})
	}
	assert.Empty(t, library, "a checksum of the library without its row")
}

func TestCOBSBothEndings(t *testing.T) {
	for runs := 1; runs <= 2; runs++ {
		data := []byte(strings.Repeat("x", runs*fullRun))
		run := stuffed(data)
		assert.Len(t, run, len(data)+runs, "the canonical ending has no code behind a full run")
		for _, run := range [][]byte{run, append(run, 1)} {
			got := make([]byte, len(run))
			n, ok := decodeCOBS(got, run)
			assert.True(t, ok)
			assert.Equal(t, data, got[:n])
		}
	}
}

func TestCOBSAgainstItself(t *testing.T) {
	for size := range 2 * maxPayload {
		for _, every := range []int{1, 2, 3, 100, 253, 254, 255, 256, 2000} {
			data := make([]byte, size)
			for k := range data {
				if k%every != every-1 {
					data[k] = byte(k%255 + 1)
				}
			}
			run := stuffed(data)
			require.NotContains(t, run, byte(0))
			require.LessOrEqual(t, len(run), size+max(1, (size+fullRun-1)/fullRun))
			got := make([]byte, len(run))
			n, ok := decodeCOBS(got, run)
			require.True(t, ok)
			require.Equal(t, data, got[:n])
		}
	}
}
