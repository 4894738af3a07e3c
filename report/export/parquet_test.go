package export

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/report/sheet/sheettest"
)

func opened(t *testing.T, content string) *parquet.File {
	t.Helper()
	file, err := parquet.OpenFile(strings.NewReader(content), int64(len(content)))
	require.NoError(t, err)
	return file
}

// asText reads a file and writes its cells as CSV does, so that both can be compared.
func asText(t *testing.T, file *parquet.File, flag func(bool) string) (rows [][]string) {
	t.Helper()
	var head []string
	fields := file.Schema().Fields()
	for _, f := range fields {
		head = append(head, f.Name())
	}
	rows = append(rows, head)
	for _, group := range file.RowGroups() {
		reader := group.Rows()
		buffer := make([]parquet.Row, 100)
		for {
			n, err := reader.ReadRows(buffer)
			for _, row := range buffer[:n] {
				var cells []string
				for k, v := range row {
					cells = append(cells, valueText(t, fields[k], v, flag))
				}
				rows = append(rows, cells)
			}
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
		}
		require.NoError(t, reader.Close())
	}
	return rows
}

func valueText(t *testing.T, field parquet.Field, v parquet.Value, flag func(bool) string) string {
	t.Helper()
	if v.IsNull() {
		return ""
	}
	if logical := field.Type().LogicalType(); logical != nil {
		if stamp, ok := logical.Value.(*format.TimestampType); ok {
			require.True(t, stamp.IsAdjustedToUTC)
			if _, micro := stamp.Unit.Value.(*format.MicroSeconds); micro {
				return time.UnixMicro(v.Int64()).UTC().Format("2006-01-02T15:04:05.000000Z")
			}
			return time.Unix(0, v.Int64()).UTC().Format("2006-01-02T15:04:05.000000000Z")
		}
	}
	switch v.Kind() {
	case parquet.Double:
		return string(appendFloat(nil, v.Double()))
	case parquet.Boolean:
		return flag(v.Boolean())
	case parquet.ByteArray:
		return string(v.ByteArray())
	default:
		return strconv.FormatInt(v.Int64(), 10)
	}
}

// windowAt is the column of the length of a window of sums.
const windowAt = firstAt + 4

func shortest(t *testing.T, cell string) string {
	t.Helper()
	if cell == "" {
		return ""
	}
	v, err := strconv.ParseFloat(cell, 64)
	require.NoError(t, err)
	return string(appendFloat(nil, v))
}

func oneOrZero(set bool) string { return string(bit(set)) }

func csvRows(t *testing.T, text string) [][]string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	require.NoError(t, err)
	return rows
}

func TestParquetSaysWhatCSVSays(t *testing.T) {
	undated := of(inventedBlocks())
	undated.WallTime = nil
	long := of(manyBlocks(3))
	for name, s := range map[string]Samples{
		"all kinds": of(inventedBlocks()), "calibrated": calibrated(of(inventedBlocks())), "undated": undated, "many": long, "none": of(nil),
	} {
		for kind, write := range map[string][2]func(io.Writer) error{
			"arc": {
				func(w io.Writer) error { return CSV(w, s) },
				func(w io.Writer) error { return Parquet(w, s, Job{Sheet: inventedSheet(nil)}) },
			},
			"slow": {
				func(w io.Writer) error { return SlowCSV(w, s) },
				func(w io.Writer) error { return SlowParquet(w, s, Job{Sheet: inventedSheet(nil)}) },
			},
		} {
			t.Run(name+" "+kind, func(t *testing.T) {
				want := csvRows(t, written(t, func(b *bytes.Buffer) error { return write[0](b) }))
				if kind == "arc" {
					for _, row := range want[1:] {
						row[windowAt] = shortest(t, row[windowAt]) // text has nine decimals
					}
				}
				if s.WallTime == nil {
					for _, row := range want[1:] {
						row[timeAt] = "" // text has the seconds of the source; a time stamp without a date is null
					}
				}
				got := opened(t, written(t, func(b *bytes.Buffer) error { return write[1](b) }))
				assert.Equal(t, want, asText(t, got, oneOrZero))
			})
		}
	}
}

func TestParquetExplainsItself(t *testing.T) {
	s := calibrated(of(inventedBlocks()))
	file := opened(t, written(t, func(b *bytes.Buffer) error {
		return Parquet(b, s, Job{Sheet: inventedSheet(inventedClock), Sources: []series.Source{inventedSource()}})
	}))
	said := func(key string) string {
		text, ok := file.Lookup(key)
		assert.True(t, ok, key)
		return text
	}
	assert.Equal(t, "arctally", file.Metadata().CreatedBy)
	assert.Equal(t, "samples", said("table"))
	assert.Equal(t, "invented.arctally", said("record"))
	assert.Equal(t, "Invented job, bore 1", said("job"))
	assert.Equal(t, "0123456789abcdef", said("fingerprint"))
	assert.Contains(t, said("definitions"), "only a person accepts")
	var columns []column
	require.NoError(t, json.Unmarshal([]byte(said("columns")), &columns))
	assert.Equal(t, arcColumns, columns)
	assert.Contains(t, said("sources"), `"serial":"B-0007"`)
	assert.Contains(t, said("calibrations"), `"channel":"voltage","gain":1.5,"offset":0.25`)
	_, given := file.Lookup("procedure")
	assert.False(t, given, "what is not known is left out")
}

// TestParquetGroups wants a group for each minute, packed.
func TestParquetGroups(t *testing.T) {
	if testing.Short() {
		t.Skip("it writes minutes of samples")
	}
	file := opened(t, written(t, func(b *bytes.Buffer) error {
		return Parquet(b, of(manyBlocks(1500)), Job{Sheet: inventedSheet(nil)}) // 150 s at 10 kHz
	}))
	var rows []int64
	for _, group := range file.Metadata().RowGroups {
		rows = append(rows, group.NumRows)
		for _, c := range group.Columns {
			assert.Equal(t, format.Zstd, c.MetaData.Codec)
		}
	}
	assert.Equal(t, []int64{601_000, 601_000, 298_000}, rows)
}

// TestParquetGroupsOfASlowSource does not scatter few samples over many groups, nor
// does it hold very many in memory.
func TestParquetGroupsOfASlowSource(t *testing.T) {
	for step, want := range map[int64]int{
		40_000_000: 3, // 25 Hz: 150 000 rows in groups of 2^16
		1_000:      1, // 1 MHz: 150 000 rows are less than a group
	} {
		blocks := manyBlocks(150)
		for k := range blocks {
			blocks[k].Step, blocks[k].Tick = step, int64(k)*1000*step
		}
		file := opened(t, written(t, func(b *bytes.Buffer) error { return Parquet(b, of(blocks), Job{Sheet: inventedSheet(nil)}) }))
		assert.Len(t, file.RowGroups(), want, "step %d ns", step)
	}
}

// liveBytes is what is in use after everything else was given back.
func liveBytes() uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.GC() // pools give back at the second
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// TestParquetMemoryStaysConstant looks at the memory in use ten times a minute, and
// wants no more of it in ten minutes than in two; what the end of the file has to say
// of each group is about 13 kB.
func TestParquetMemoryStaysConstant(t *testing.T) {
	if testing.Short() {
		t.Skip("it writes minutes of samples")
	}
	source, blocks := inventedSource(), manyBlocks(600)
	most := func(minutes int) (most uint64) {
		s := of(nil)
		s.Parts = func(yield func(Part, error) bool) {
			if !yield(Part{Source: &source}, nil) {
				return
			}
			for k := range 600 * minutes {
				if k%60 == 30 {
					most = max(most, liveBytes())
				}
				b := blocks[k%600]
				b.Tick = int64(k) * 100_000_000
				if !yield(Part{Block: &b}, nil) {
					return
				}
			}
		}
		require.NoError(t, Parquet(io.Discard, s, Job{Sheet: inventedSheet(nil)}))
		return most
	}
	few, many := most(2), most(10)
	t.Logf("%d bytes in use over 2 minutes, %d over 10", few, many)
	assert.Less(t, many, few+few/10, "bytes in use for 10 groups against 2")
}

func TestParquetErrors(t *testing.T) {
	job := Job{Sheet: inventedSheet(nil)}
	require.ErrorIs(t, Parquet(&sheettest.Full{Left: 10}, of(manyBlocks(3)), job), sheettest.ErrFull)
	require.ErrorIs(t, SlowParquet(&sheettest.Full{Left: 10}, of(inventedBlocks()), job), sheettest.ErrFull)
	require.ErrorIs(t, TableParquet(&sheettest.Full{Left: 10}, Passes, job), sheettest.ErrFull)
	require.ErrorIs(t, TableCSV(&sheettest.Full{Left: 10}, Passes, job.Sheet), sheettest.ErrFull)
	broken := Samples{Parts: func(yield func(Part, error) bool) { yield(Part{}, fmt.Errorf("page 7: %w", sheettest.ErrFull)) }}
	require.ErrorIs(t, Parquet(io.Discard, broken, job), sheettest.ErrFull)
	stray := of([]series.Block{{Kind: series.Slow, Channel: []uint8{9}, Value: []float64{1}}})
	require.ErrorContains(t, SlowParquet(io.Discard, stray, job), "channel 9")
	assert.PanicsWithValue(t, "export: a job without its sheet", func() { _ = Parquet(io.Discard, of(nil), Job{}) })
}
