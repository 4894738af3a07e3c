package capture

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func allLines(t *testing.T, text string, buffer int) []string {
	t.Helper()
	l := newLines(strings.NewReader(text), int64(len(text)), buffer, nil)
	var out []string
	for l.next() {
		out = append(out, string(l.text))
		require.EqualValues(t, len(out), l.number)
	}
	require.NoError(t, l.err)
	return out
}

func TestLineEnds(t *testing.T) {
	for _, c := range []struct {
		id, text string
		want     []string
	}{
		{"LF", "a\nbc\n", []string{"a", "bc"}},
		{"CR LF", "a\r\nbc\r\n", []string{"a", "bc"}},
		{"CR", "a\rbc\r", []string{"a", "bc"}},
		{"mixed", "a\rbc\nd\r\n\re\n\nf", []string{"a", "bc", "d", "", "e", "", "f"}},
		{"no end", "a\nbc", []string{"a", "bc"}},
		{"CR at the end", "a\r", []string{"a"}},
		{"empty", "", nil},
	} {
		for _, buffer := range []int{4, 5, 6, 7, 64} {
			assert.Equal(t, c.want, allLines(t, c.text, buffer), "%s, buffer %d", c.id, buffer)
		}
	}
}

func TestLineTooLong(t *testing.T) {
	text := "ab\n" + strings.Repeat("x", 40) + "\ncd\n"
	l := newLines(strings.NewReader(text), int64(len(text)), 16, nil)
	var long []bool
	var numbers []int64
	for l.next() {
		long, numbers = append(long, l.tooLong), append(numbers, l.number)
	}
	assert.Equal(t, []bool{false, true, false}, long)
	assert.Equal(t, []int64{1, 2, 3}, numbers)
}

func TestReadingFails(t *testing.T) {
	text := []byte("1,18.0,100\n2,18.1,101\n3,18.2,102\n")
	o := Options{Time: "1", Voltage: "2", Current: "3"}
	_, err := Import(bytes.NewReader(text), int64(len(text))+10, "cut.csv", o, &memory{}, nil)
	assert.ErrorContains(t, err, "reading failed")
	_, err = Import(failing{}, 1000, "broken.csv", o, &memory{}, nil)
	assert.ErrorIs(t, err, errReading)
}

var errReading = errors.New("out of order")

type failing struct{}

func (failing) ReadAt([]byte, int64) (int, error) { return 0, errReading }

// FuzzLines: any buffer gives the same lines as the whole text at once.
func FuzzLines(f *testing.F) {
	f.Add("a\r\nb\rc\n\n", uint8(3))
	f.Fuzz(func(t *testing.T, text string, buffer uint8) {
		whole := strings.Split(strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n"), "\n")
		if whole[len(whole)-1] == "" {
			whole = whole[:len(whole)-1]
		}
		size := int(buffer)%50 + 4
		l := newLines(strings.NewReader(text), int64(len(text)), size, nil)
		k := 0
		for ; l.next(); k++ {
			require.Less(t, k, len(whole))
			if !l.tooLong {
				require.Equal(t, whole[k], string(l.text))
				continue
			}
			require.GreaterOrEqual(t, len(whole[k]), size-1)
		}
		require.NoError(t, l.err)
		require.Equal(t, len(whole), k)
	})
}

var _ io.ReaderAt = failing{}
