package link

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"arctally/acquire/series"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// describe writes a reading as the .want files of testdata/capture have it.
func describe(r *Reading) string {
	var s strings.Builder
	fmt.Fprintf(&s, "reading boot %d seq %d tick %d", r.Boot, r.Seq, r.Tick)
	if r.Overrun {
		s.WriteString(" overrun")
	}
	if r.Clipped {
		s.WriteString(" clipped")
	}
	if c := r.Source; c != nil {
		fmt.Fprintf(&s, "\n  source %s %s %s %s turn %v wire %v",
			c.Name, c.Serial, c.Firmware, c.Calibration, c.CountsPerTurn, c.WirePerCount)
		for _, c := range c.Channels {
			fmt.Fprintf(&s, "\n    %s %s %v %v %d %s", c.Name, c.Unit, c.Scale, c.Offset, c.Bits, c.Basis)
		}
	}
	for k := range r.Blocks {
		s.WriteString("\n  " + describeBlock(&r.Blocks[k]))
	}
	return s.String()
}

func describeBlock(b *series.Block) string {
	w := b.Sum
	switch b.Kind {
	case series.Arc:
		return fmt.Sprintf("arc step %d V %v I %v", b.Step, b.V, b.I)
	case series.Sums:
		return fmt.Sprintf("sums step %d n %d V %d I %d VI %d V %d..%d I %d..%d arc %d wire %d dropped %d", b.Step,
			w.Count, w.V, w.I, w.VI, w.VMin, w.VMax, w.IMin, w.IMax, w.ArcOn, w.WireCount, w.Dropped)
	case series.Slow:
		return fmt.Sprintf("slow step %d channel %v value %v", b.Step, b.Channel, b.Value)
	case series.Turn:
		return fmt.Sprintf("turn ticks %v count %v", b.Ticks, b.Count)
	default:
		return "a block of no kind"
	}
}

// replay decodes stream in pieces of the given size, and returns what was said.
func replay(t testing.TB, link string, stream []byte, piece int) []string {
	t.Helper()
	d, err := New(link)
	require.NoError(t, err)
	var said []string
	for len(stream) > 0 {
		n := min(piece, len(stream))
		d.Decode(stream[:n], func(r *Reading, err error) {
			var damage *Error
			switch {
			case errors.As(err, &damage):
				said = append(said, strings.TrimSuffix(
					fmt.Sprintf("damage at %d, %d bytes: %s: %s", damage.Offset, damage.Bytes, damage.Kind, damage.Detail), ": "))
			case err != nil:
				t.Fatal(err)
			default:
				require.True(t, r.HasSeq)
				said = append(said, describe(r))
			}
		})
		stream = stream[n:]
	}
	return said
}

// captured reads the recorded bytes of a link; those of the binary one are hex.
func captured(t testing.TB, link string) []byte {
	t.Helper()
	if link != Binary {
		stream, err := os.ReadFile(filepath.Join(testdata, "capture", "link-"+link+".txt"))
		require.NoError(t, err)
		return stream
	}
	var stream []byte
	for _, line := range uncommented(t, "link-binary.hex") {
		data, err := hex.DecodeString(line)
		require.NoError(t, err)
		stream = append(stream, data...)
	}
	return stream
}

func uncommented(t testing.TB, name string) (lines []string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(testdata, "capture", name))
	require.NoError(t, err)
	for scan := bufio.NewScanner(bytes.NewReader(text)); scan.Scan(); {
		if !strings.HasPrefix(scan.Text(), "#") {
			lines = append(lines, scan.Text())
		}
	}
	return lines
}

var links = []string{Binary, Delimited, LineProtocol}

func TestCaptures(t *testing.T) {
	for _, link := range links {
		t.Run(link, func(t *testing.T) {
			want := strings.Join(uncommented(t, "link-"+link+".want"), "\n")
			stream := captured(t, link)
			assert.Equal(t, want, strings.Join(replay(t, link, stream, len(stream)), "\n"))
		})
	}
}

func TestAnyDivisionReadsTheSame(t *testing.T) {
	for _, link := range links {
		t.Run(link, func(t *testing.T) {
			stream := captured(t, link)
			// Behind it, twice as much without a delimiter as is reported at a time.
			stream = append(stream, bytes.Repeat([]byte{'U'}, 2*longPiece+10)...)
			stream = append(append(stream, 0, '\n'), captured(t, link)...)
			want := replay(t, link, stream, len(stream))
			require.NotEmpty(t, want)
			for piece := 1; piece < 1200; piece += 1 + piece/20 {
				require.Equal(t, want, replay(t, link, stream, piece), "in pieces of %d bytes", piece)
			}
		})
	}
}

// Every byte of a stream belongs to a reading, to damage, or to an idle line.
func TestLostBytesAddUp(t *testing.T) {
	frame := AppendSamples(nil, Header{StepUS: 100}, []int16{1, 2}, []int16{3, 4})
	stream := append([]byte{}, frame...)
	stream = append(stream, bytes.Repeat([]byte{'U'}, 3*longPiece)...)
	stream = append(stream, 0, 0, 0)
	stream = append(stream, frame[4:]...)
	stream = append(stream, frame...)
	d := newBinaryDecoder()
	read, lost, end := 0, 0, 0
	d.Decode(stream, func(_ *Reading, err error) {
		var damage *Error
		if errors.As(err, &damage) {
			assert.GreaterOrEqual(t, int(damage.Offset), end, "damage overlaps")
			end = int(damage.Offset) + damage.Bytes
			lost += damage.Bytes
			return
		}
		read += len(frame)
	})
	const idle = 2
	assert.Equal(t, 2*len(frame), read)
	assert.Equal(t, len(stream), read+lost+idle)
}
