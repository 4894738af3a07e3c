package links

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/link"
	"arctally/acquire/port"
	"arctally/acquire/series"
)

// speaker is a wire on which somebody speaks at one baud rate, on a clock of its own.
type speaker struct {
	baud  int                              // at which it speaks; 0 is any
	says  func(since time.Duration) []byte // in the look that ends then
	rate  int
	since time.Duration
	tuned []int
	fail  error
	noise *rand.Rand
}

var midnight = time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)

func (s *speaker) retune(baud int) error {
	s.rate = baud
	s.tuned = append(s.tuned, baud)
	return nil
}

func (s *speaker) hear(ctx context.Context, atMost time.Duration) ([]byte, time.Time, error) {
	s.since += atMost
	said := s.says(s.since)
	if s.baud != 0 && s.rate != s.baud && len(said) > 0 {
		said = s.garbled(len(said))
	}
	if err := ctx.Err(); err != nil {
		return nil, midnight.Add(s.since), err
	}
	return said, midnight.Add(s.since), s.fail
}

// garbled is what comes at a wrong rate: as many bytes, of which none means a thing.
func (s *speaker) garbled(n int) []byte {
	if s.noise == nil {
		s.noise = rand.New(rand.NewPCG(1, 2))
	}
	bytes := make([]byte, n)
	for k := range bytes {
		bytes[k] = byte(s.noise.Uint32())
	}
	return bytes
}

func find(t *testing.T, s *speaker) (Port, outcome) {
	t.Helper()
	tune := tuner{wire: s, listenFor: DefaultFor, tell: func(string) {}}
	o := tune.listen(context.Background())
	p := Port{Name: "/dev/serial/by-id/usb-box-if00", Lasting: true}
	p.heard(o)
	if p.Speech != nil {
		p.Sensor = p.sensorLine()
	}
	return p, o
}

// binaryBox says ten frames of 32 samples in each look, 3.2 kSa/s, and who it is every
// five seconds.
func binaryBox(t *testing.T, spoil func(seq uint32, frame []byte) []byte) func(time.Duration) []byte {
	source := series.Source{Name: "box 1", Serial: "17", Firmware: "2", Channels: []series.Channel{
		{Name: "voltage", Unit: "V", Scale: 0.01, Basis: series.Instantaneous}, {Name: "current", Unit: "A", Scale: 0.1, Basis: series.Instantaneous},
	}}
	var seq uint32
	hello := 4 * time.Second
	return func(since time.Duration) (said []byte) {
		send := func(frame []byte) {
			if spoil != nil {
				frame = spoil(seq, frame)
			}
			seq++
			said = append(said, frame...)
		}
		if since >= hello {
			hello += 5 * time.Second
			frame, err := link.AppendHello(nil, link.Header{Boot: 3, Seq: seq}, source)
			require.NoError(t, err)
			send(frame)
		}
		for range 10 {
			send(link.AppendSamples(nil, link.Header{Boot: 3, Seq: seq, TickUS: uint64(seq) * 1000, StepUS: 10}, make([]int16, 32), make([]int16, 32)))
		}
		return said
	}
}

func TestTuner_BinaryAtAnotherBaud(t *testing.T) {
	s := &speaker{baud: 500000, says: binaryBox(t, nil)}
	p, _ := find(t, s)
	assert.Equal(t, Speaks, p.State)
	require.NotNil(t, p.Speech)
	assert.Equal(t, "binary", p.Speech.Link)
	assert.Equal(t, 500000, p.Speech.Baud)
	assert.Equal(t, []int{115200, 921600}, p.Speech.Tried)
	assert.Equal(t, []int{115200, 921600, 500000}, s.tuned)
	assert.Equal(t, "box 1", p.Speech.Name)
	assert.Equal(t, "17", p.Speech.Serial)
	assert.True(t, p.Speech.Arc)
	assert.InDelta(t, 100, p.Speech.PerSecond(p.Speech.Frames), 5)
	assert.InDelta(t, 3200, p.Speech.PerSecond(p.Speech.Samples), 160)
	assert.Zero(t, p.Speech.Lost+p.Speech.Damaged)
	assert.Equal(t, "  - {port: /dev/serial/by-id/usb-box-if00, link: binary, baud: 500000}\n", p.Sensor)
	assert.Contains(t, p.text(), "speaks binary at 500000 baud: box 1, serial 17 (nothing of it is understood at 115200, 921600 baud)")
	assert.Less(t, s.since, 20*time.Second)
}

// A box that is damaged and loses frames on its way is heard all the same, with its faults.
func TestTuner_Faults(t *testing.T) {
	var lost, damaged int
	p, _ := find(t, &speaker{says: binaryBox(t, func(seq uint32, frame []byte) []byte {
		switch {
		case seq < 20:
		case seq%50 == 7:
			lost++
			return nil
		case seq%50 == 30:
			damaged++
			frame[10] ^= 0x41
		}
		return frame
	})})
	require.Equal(t, Speaks, p.State)
	assert.Equal(t, 115200, p.Speech.Baud)
	assert.EqualValues(t, damaged, p.Speech.Damaged)
	assert.EqualValues(t, lost+damaged, p.Speech.Lost, "a damaged frame is a lost one too")
	assert.Contains(t, p.text(), fmt.Sprintf("%d frames lost and %d damaged", p.Speech.Lost, p.Speech.Damaged))
}

func textBox(appendLine func([]byte, link.Line) []byte) func(time.Duration) []byte {
	var seq uint32
	return func(since time.Duration) []byte {
		seq++
		return appendLine(nil, link.Line{
			Boot: 1, Seq: seq, TickUS: uint64(since.Microseconds()),
			Voltage: link.Mean{Value: 17.5 + float64(seq%7)/10, Known: true}, Current: link.Mean{Value: 140 + float64(seq%5), Known: true},
			WireSpeed: link.Mean{Value: 0.1, Known: true},
		})
	}
}

func TestTuner_TextLinks(t *testing.T) {
	p, _ := find(t, &speaker{baud: 9600, says: textBox(link.AppendDelimited)})
	require.Equal(t, Speaks, p.State, p.Problem)
	assert.Equal(t, "delimited", p.Speech.Link)
	assert.Equal(t, 9600, p.Speech.Baud)
	assert.InDelta(t, 10, p.Speech.PerSecond(p.Speech.Frames), 1)
	assert.Contains(t, p.text(), "a box that does not say who it is")

	p, _ = find(t, &speaker{baud: 921600, says: textBox(func(dst []byte, l link.Line) []byte { return link.AppendLineProtocol(dst, "box1", l) })})
	require.Equal(t, Speaks, p.State)
	assert.Equal(t, "lineprotocol", p.Speech.Link)
}

func TestTuner_PlainMeters(t *testing.T) {
	for _, c := range []struct {
		id, want string
		line     func(k int) string
		ranges   int
	}{
		{"columns", "columns: {voltage: 1, current: 2}", func(k int) string { return fmt.Sprintf("17.%d, 140.%d, 5.5\r\n", k%10, k%7) }, 3},
		{"decimal comma", "separator: semicolon, decimal: comma, columns: {", func(k int) string { return fmt.Sprintf("17,%d;140,%d\n", k%10, k%7) }, 2},
		{"spaces", "separator: space, columns: {", func(k int) string { return fmt.Sprintf("  17.%d   140.%d\r", k%10, k%7) }, 2},
		{"tabs", "separator: tab, columns: {", func(k int) string { return fmt.Sprintf("17.%d\t140.%d\r\n", k%10, k%7) }, 2},
		{"exponents", "columns: {voltage: 1", func(k int) string { return fmt.Sprintf("+1.7%dE+01,1.40E+02\n", k%10) }, 2},
		{"one column", "", func(k int) string { return fmt.Sprintf("17.%d\r\n", k%10) }, 1},
	} {
		t.Run(c.id, func(t *testing.T) {
			k := 0
			s := &speaker{baud: 9600, says: func(since time.Duration) []byte {
				if since%(500*time.Millisecond) != 0 {
					return nil
				}
				k++
				return []byte(c.line(k))
			}}
			p, _ := find(t, s)
			require.Equal(t, Meter, p.State, p.Problem)
			assert.Equal(t, 9600, p.Speech.Baud)
			assert.Len(t, p.Speech.Ranges, c.ranges)
			assert.Contains(t, p.text(), "unprotected link")
			if c.want == "" {
				assert.Empty(t, p.Sensor, "nobody can say what it is")
				return
			}
			assert.Contains(t, p.Sensor, c.want)
			assert.Contains(t, p.Sensor, "is a guess")
		})
	}
}

// What only looks like numbers here and there is no meter.
func TestTuner_NoMeter(t *testing.T) {
	k := 0
	p, o := find(t, &speaker{says: func(time.Duration) []byte {
		k++
		if k%5 == 0 {
			return []byte("ready\r\n")
		}
		return []byte("17.5,140\r\n")
	}})
	assert.Equal(t, Unknown, p.State)
	assert.Nil(t, o.speech)
	assert.Contains(t, p.Problem, "no frame of any link")
	assert.Contains(t, p.Problem, "9600")
	assert.NotEmpty(t, p.Hint)
}

func TestTuner_Silent(t *testing.T) {
	s := &speaker{says: func(time.Duration) []byte { return nil }}
	p, _ := find(t, s)
	assert.Equal(t, Silent, p.State)
	assert.Equal(t, []int{115200}, s.tuned, "a silent line is silent at every rate")
	assert.Equal(t, longestSilence, s.since)
	assert.Contains(t, p.Hint, "supply")
	assert.Empty(t, p.Sensor)
}

// A slave that says nothing unless asked is asked only then.
func TestTuner_Asks(t *testing.T) {
	s := &speaker{says: func(time.Duration) []byte { return nil }}
	var asked []int
	tune := tuner{wire: s, listenFor: DefaultFor, tell: func(string) {}, ask: func(_ context.Context, baud int) *Speech {
		if asked = append(asked, baud); baud == 57600 {
			return &Speech{Link: "modbus", Baud: baud}
		}
		return nil
	}}
	o := tune.listen(context.Background())
	require.NotNil(t, o.speech)
	assert.Equal(t, 57600, o.speech.Baud)
	assert.Equal(t, bauds[:7], asked)
	assert.Equal(t, bauds[:6], o.speech.Tried)

	tune.wire = &speaker{says: binaryBox(t, nil)}
	tune.ask = func(context.Context, int) *Speech { t.Error("a box that speaks is not asked"); return nil }
	assert.Equal(t, "binary", tune.listen(context.Background()).speech.Link)
	tune.wire = &speaker{says: func(time.Duration) []byte { return []byte("noise ") }}
	assert.Nil(t, tune.listen(context.Background()).speech)
}

func TestTuner_Troubles(t *testing.T) {
	p, _ := find(t, &speaker{says: func(since time.Duration) []byte {
		if since%time.Second == 0 {
			return []byte("AT\r\r\n")
		}
		return nil
	}})
	assert.Contains(t, p.Problem, "modem")
	assert.Contains(t, p.Hint, port.RuleFile)

	p, _ = find(t, &speaker{says: binaryBox(t, nil), fail: errGone})
	assert.Equal(t, errGone.Error(), p.Problem)
	p, _ = find(t, &speaker{says: binaryBox(t, nil), fail: &port.Error{Kind: port.Permission, Port: "/dev/null"}})
	assert.NotEmpty(t, p.Hint)

	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	tune := tuner{wire: &speaker{says: binaryBox(t, nil)}, tell: func(string) {}}
	assert.True(t, errors.Is(tune.listen(ctx).err, context.Canceled))

	bare := Port{Name: "/dev/ttyUSB0"}
	bare.heard(outcome{speech: &Speech{Link: link.Binary}, any: true})
	assert.Contains(t, bare.Problem, "another's tomorrow")
	assert.True(t, strings.HasPrefix(bare.text(), "/dev/ttyUSB0\n"))
}

// It is told what is being done.
func TestTuner_Tells(t *testing.T) {
	var told []string
	tune := tuner{wire: &speaker{baud: 921600, says: binaryBox(t, nil)}, listenFor: time.Second, tell: func(doing string) { told = append(told, doing) }}
	tune.listen(context.Background())
	assert.Equal(t, []string{"listening at 115200 baud", "listening at 921600 baud", "a box speaks at 921600 baud"}, told)
}
