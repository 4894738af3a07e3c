package trace

import (
	"encoding/json"
	"math"
	"slices"
	"strconv"
)

// floating is the number of decimals of a value that stands for no code.
const floating = -1

// mostDecimals is beyond what any converter resolves.
const mostDecimals = 12

// decimalsOf returns the decimals that tell neighbouring codes apart, where one
// code is worth a step:
//
//	10^-decimals <= step
func decimalsOf(step float64) int {
	step = math.Abs(step)
	if step == 0 || !finite(step) {
		return floating
	}
	const slack = 1e-9 // 0.01 is a hair's breadth off 10^-2
	return int(min(max(math.Ceil(-math.Log10(step)-slack), 0), mostDecimals))
}

// MarshalJSON implements json.Marshaler.
func (t Trace) MarshalJSON() ([]byte, error) { return t.AppendJSON(nil) }

// AppendJSON writes the trace as the pages take it: times in ns from the
// beginning of the window, null where a line breaks.
func (t Trace) AppendJSON(dst []byte) ([]byte, error) {
	dst = slices.Grow(dst, t.about())
	dst = strconv.AppendInt(append(dst, `{"epoch":`...), int64(t.Epoch), 10)
	dst = strconv.AppendInt(append(dst, `,"from_ns":`...), t.From, 10)
	dst = strconv.AppendInt(append(dst, `,"until_ns":`...), t.Until, 10)
	dst = append(dst, `,"lines":[`...)
	for k := range t.Lines {
		if k > 0 {
			dst = append(dst, ',')
		}
		var err error
		if dst, err = t.Lines[k].append(dst, t.From); err != nil {
			return nil, err
		}
	}
	events, err := json.Marshal(t.said())
	if err != nil {
		return nil, err
	}
	dst = append(append(dst, `],"events":`...), events...)
	return append(dst, '}'), nil
}

// about is how long the trace is about, in bytes: a point takes some twenty.
func (t Trace) about() int {
	n := 1 << 10
	for k := range t.Lines {
		n += len(t.Lines[k].Tick) * bytesOfPoint
	}
	return n
}

const bytesOfPoint = 24

// happening is an event as the pages take it.
type happening struct {
	Kind  string `json:"kind"`
	At    int64  `json:"at_ns"`
	Until int64  `json:"until_ns"`
	Text  string `json:"text"`
}

func (t Trace) said() []happening {
	said := make([]happening, len(t.Events))
	for k, e := range t.Events {
		said[k] = happening{string(e.Kind), e.Tick - t.From, e.Until - t.From, e.Text}
	}
	return said
}

// append writes a line; a break stands midway between the points beside it.
func (l *Line) append(dst []byte, from int64) ([]byte, error) {
	head, err := json.Marshal(struct {
		Channel     string `json:"channel"`
		Unit        string `json:"unit"`
		EverySample bool   `json:"every_sample"`
		Resolution  int64  `json:"resolution_ns"`
	}{l.Channel, l.Unit, l.EverySample, l.Resolution})
	if err != nil {
		return nil, err
	}
	dst = append(append(dst, head[:len(head)-1]...), `,"at_ns":[`...)
	dst = l.each(dst, func(dst []byte, k int, broken bool) []byte {
		if broken {
			dst = append(strconv.AppendInt(dst, l.Tick[k-1]-from+(l.Tick[k]-l.Tick[k-1])/2, 10), ',')
		}
		return strconv.AppendInt(dst, l.Tick[k]-from, 10)
	})
	dst = l.each(append(dst, `],"value":[`...), func(dst []byte, k int, broken bool) []byte {
		if broken {
			dst = append(dst, "null,"...)
		}
		return appendValue(dst, l.Value[k], l.decimals)
	})
	return append(dst, `]}`...), nil
}

func (l *Line) each(dst []byte, write func(dst []byte, k int, broken bool) []byte) []byte {
	breaks := l.Breaks
	for k := range l.Tick {
		if k > 0 {
			dst = append(dst, ',')
		}
		broken := len(breaks) > 0 && breaks[0] == k
		if broken {
			breaks = breaks[1:]
		}
		dst = write(dst, k, broken)
	}
	return dst
}

// appendValue writes a finite value, without zeros at its end.
func appendValue(dst []byte, v float64, decimals int) []byte {
	if decimals == floating {
		size := 32 // seven digits: no sensor has more to say
		if math.Abs(v) > math.MaxFloat32/2 {
			size = 64
		}
		return strconv.AppendFloat(dst, v, 'g', -1, size)
	}
	begin := len(dst)
	dst = strconv.AppendFloat(dst, v, 'f', decimals, 64)
	for decimals > 0 && dst[len(dst)-1] == '0' {
		dst = dst[:len(dst)-1]
	}
	if dst[len(dst)-1] == '.' {
		dst = dst[:len(dst)-1]
	}
	if string(dst[begin:]) == "-0" {
		dst = append(dst[:begin], '0')
	}
	return dst
}
