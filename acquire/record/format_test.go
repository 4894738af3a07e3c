package record

import (
	"bytes"
	"encoding/binary"
	"os"
	"os/exec"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/klauspost/compress/zstd"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

func formatPage(t *testing.T) string {
	t.Helper()
	page, err := os.ReadFile("FORMAT.md")
	require.NoError(t, err)
	return string(page)
}

func TestFormatPage_NamesEveryTableAndColumn(t *testing.T) {
	page := formatPage(t)
	require.Contains(t, page, "| `commits` | `"+commitColumns+"` |")
	for _, table := range chained {
		require.Contains(t, page, "| `"+table.name+"` | `"+strings.Join(table.columns, ", ")+"` |")
		require.Len(t, table.types, len(table.columns))
	}
}

// What a record must hold to the letter stands there to the letter.
func TestFormatPage_HasTheStatements(t *testing.T) {
	page := formatPage(t)
	for _, o := range objectsOf(latestVersion) {
		if o.kind == "index" || o.name == "commits" {
			require.True(t, strings.Contains(page, "\n"+o.made+"\n"), o.made)
			continue
		}
		lines := strings.Split(o.made, "\n")
		for _, piece := range []string{strings.Replace(lines[0], o.name, "name", 1), lines[len(lines)-1]} {
			require.True(t, strings.Contains(page, "`"+piece+"`"), piece)
		}
	}
}

func TestFormatPage_QueriesRun(t *testing.T) {
	queries := regexp.MustCompile("(?s)```sql\n(.*?)```").FindAllStringSubmatch(formatPage(t), -1)
	require.Len(t, queries, 2)
	r, err := Open(everyRecord(t))
	require.NoError(t, err)
	for _, q := range queries {
		rows := 0
		require.NoError(t, r.each(q[1], nil, func(func(...any) error) error { rows++; return nil }))
		require.Positive(t, rows)
	}
	require.NoError(t, r.Close())
}

func TestAbout_SpeaksOfEveryTable(t *testing.T) {
	topics := map[string]bool{}
	for _, a := range about {
		topics[a[0]] = true
	}
	for _, table := range chained[1:] {
		require.True(t, topics[table.name], table.name)
	}
	require.True(t, topics["commits"])
}

// TestStranger reads the voltage with SQL, a zstd reader and the words of the
// table about alone: nothing of the package's own codecs.
func TestStranger(t *testing.T) {
	want, _ := dippingArc(5000, 1, 1)
	r, err := Open(smallRecord(t))
	require.NoError(t, err)
	z, err := zstd.NewReader(nil)
	require.NoError(t, err)
	defer z.Close()
	var codes []int32
	var frames [][]byte
	err = r.each("SELECT n, codec, payload FROM chunks WHERE kind = 'arc' ORDER BY id", nil, func(scan func(...any) error) error {
		var n, how int
		var payload []byte
		if err := scan(&n, &how, &payload); err != nil {
			return err
		}
		require.Equal(t, 9, how)
		raw, err := z.DecodeAll(payload, nil)
		require.NoError(t, err)
		require.Equal(t, []byte{2, 1, 8}, raw[:3], "two columns, of which the first are voltages by codec 8")
		codes = append(codes, strangersCodes(t, raw[1+2*6:], n)...)
		frames = append(frames, payload, raw)
		return nil
	})
	require.NoError(t, err)
	require.Equal(t, want, codes)
	require.NoError(t, r.Close())
	if _, err := exec.LookPath("zstd"); err != nil {
		t.Log("the zstd command is not here: the frames are not opened with it")
		return
	}
	openWithCommand(t, frames[0], frames[1])
}

// strangersCodes reads codec 8, of 16 bits, by the words of the table about.
func strangersCodes(t *testing.T, column []byte, n int) (codes []int32) {
	t.Helper()
	order, size, form := column[0], column[1], column[2]
	require.Equal(t, []byte{2, 0}, []byte{size, form})
	code, step := int32(binary.LittleEndian.Uint32(column[3:])), int32(0)
	m := int(binary.LittleEndian.Uint32(column[7:]))
	low, whole := column[11:11+n], column[11+n:]
	for _, b := range low {
		z := int32(b)
		if b == 255 {
			z = int32(whole[0]) + 256*int32(whole[m])
			whole = whole[1:]
		}
		x := z / 2
		if z%2 == 1 {
			x = -(z + 1) / 2
		}
		switch order {
		case 0:
			codes = append(codes, int32(int16(code+x)))
			continue
		case 1:
			step = x
		case 2:
			step += x
		}
		code += step
		codes = append(codes, int32(int16(code)))
	}
	return codes
}

// openWithCommand checks that the zstd command opens a frame to what it holds.
func openWithCommand(t *testing.T, frame, want []byte) {
	t.Helper()
	c := exec.Command("zstd", "-d", "-c")
	c.Stdin = bytes.NewReader(frame)
	out, err := c.Output()
	require.NoError(t, err)
	require.Equal(t, want, out)
}

func TestSource_EveryFieldComesBack(t *testing.T) {
	s := series.Source{
		Box: 1, Port: "p", Name: "n", Serial: "s", Firmware: "f", Calibration: "c", Link: "l", Unprotected: true, Contested: true, Assumed: true,
		CountsPerTurn: 1.5, WirePerCount: 0.25, Refresh: 1, HeldAfter: 2, MayBeHeldAfter: 5, HeldArc: 4, MaxStep: 3,
		Skew: series.Stated{Known: true}, SkewAlternates: true, ClockDeviation: series.Stated{Value: 50, Known: true},
		Channels: []series.Channel{{Name: "v", Unit: "V", Scale: 0.1, Offset: 1, Bits: 12, Basis: series.Average, Bandwidth: 2500, Tap: "torch"}, {Basis: series.BasisUnknown}},
	}
	for k := range reflect.TypeFor[series.Source]().NumField() {
		if reflect.TypeFor[series.Source]().Field(k).Name == "TurnBox" {
			continue // of what several boxes said as if one had said it, which no record holds
		}
		require.NotZero(t, reflect.ValueOf(s).Field(k).Interface(), "a field without a value shows nothing")
	}
	text, err := encodeSource(&s)
	require.NoError(t, err)
	got, err := decodeSource(text)
	require.NoError(t, err)
	require.Equal(t, s, got)
	require.True(t, s.Equal(got))
	got.Channels[0].Offset = 2
	require.False(t, s.Equal(got))
}
