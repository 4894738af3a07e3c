package analyze

import (
	"fmt"
	"math"
	"slices"

	"arctally/acquire/series"
)

// sound keeps what cannot be out of the analysis: records exist that were made before
// links refused such things. What it leaves out it counts, by the sentence that says so.
type sound struct {
	source series.Source
	blind  bool // voltage or current of the source has no value
	left   []Warning

	epoch   int // of the turn counts
	counted bool
	last    counted // that was used, as it came
	jumped  bool
	beyond  counted // that was not, after it
	base    int64   // that is taken off since the counter jumped
	mute    bool    // what a turn has has changed in this epoch
}

// What a source may say of itself, and what can be measured: far beyond what is, but
// near enough that nothing overflows. Ours, no source.
const (
	leastScale, mostScale = 1e-15, 1e9
	mostOffset            = 1e9
	leastCounts           = 1e-3
	mostCounts            = 1e15
	mostWireCount         = 1e3 // m
	mostVolts             = 1e4
	mostAmperes           = 1e6
	mostReading           = 1e12
	mostTick              = 1 << 62 // ns: two of them still have a difference
	longestWindow         = 60_000_000_000
	mostTurnsPerSecond    = 20
	mostUnheard           = 3600 // s: no torch turns for longer without a count
	spareTurns            = 2    // that may come at once, after silence or from a coarse clock
)

// leave counts what was left out.
func (s *sound) leave(n int64, format string, arg ...any) {
	text := fmt.Sprintf(format, arg...)
	for k := range s.left {
		if s.left[k].Text == text {
			s.left[k].Count += n
			return
		}
	}
	s.left = append(s.left, Warning{Kind: "impossible", Count: n, Text: text})
}

// leaveOnce says what was left out, however often it comes up again.
func (s *sound) leaveOnce(format string, arg ...any) {
	text := fmt.Sprintf(format, arg...)
	if !slices.ContainsFunc(s.left, func(w Warning) bool { return w.Text == text }) {
		s.leave(1, "%s", text)
	}
}

// inside reports whether x is a number from low to high.
func inside(x, low, high float64) bool { return x >= low && x <= high }

// speaks takes what of a description can be.
func (s *sound) speaks(src series.Source) series.Source {
	if c := src.CountsPerTurn; c != 0 && !inside(c, leastCounts, mostCounts) {
		s.leave(1, "the source says that a turn has %g counts: its turn counts are not used", c)
		src.CountsPerTurn = 0
	}
	if w := src.WirePerCount; w != 0 && !inside(w, 0, mostWireCount) {
		s.leave(1, "the source says that a count is %g m of wire: its wire counts are not used", w)
		src.WirePerCount = 0
	}
	for _, x := range []*int64{&src.Refresh, &src.HeldAfter, &src.MayBeHeldAfter, &src.HeldArc, &src.MaxStep} {
		if *x < 0 || *x > mostTick {
			s.leave(1, "the source says a time of %d ns of itself: it is not used", *x)
			*x = 0
		}
	}
	if had := s.source.CountsPerTurn; s.counted && src.CountsPerTurn != had {
		s.leaveOnce("a turn has %g counts, and %g before on the same clock: its turn counts are not used until the clock begins anew", src.CountsPerTurn, had)
		src.CountsPerTurn, s.mute = had, true
	}
	s.blind = false
	src.Channels = slices.Clone(src.Channels)
	for k, c := range src.Channels[:2] {
		if !inside(math.Abs(c.Scale), leastScale, mostScale) || !inside(c.Offset, -mostOffset, mostOffset) {
			s.leave(1, "the source says that a code of %s is %g %s, from %g: its voltage and current are not used", c.Name, c.Scale, c.Unit, c.Offset)
			s.blind = true
			src.Channels[k].Scale, src.Channels[k].Offset = s.stepBefore(k), 0
		}
	}
	s.source = src
	return src
}

// stepBefore returns the step that channel k had before it was said to be none, 0 where it had
// none: what a pass measured with it keeps the doubt of it.
func (s *sound) stepBefore(k int) float64 {
	if len(s.source.Channels) <= k {
		return 0
	}
	return s.source.Channels[k].Scale
}

// block returns what of a block can be, nil where that is nothing.
func (s *sound) block(b *series.Block) *series.Block {
	switch {
	case !inTime(b):
		s.leave(int64(b.Len()), "samples stand at times that are none: they are not used")
		return nil
	case b.Kind == series.Arc && (len(b.I) != len(b.V) || b.Flag != nil && len(b.Flag) != len(b.V)):
		s.leave(int64(b.Len()), "samples have no voltage, current or flag to go with them: they are not used")
		return nil
	case s.blind && (b.Kind == series.Arc || b.Kind == series.Sums):
		s.leave(int64(b.Len()), "samples of voltage and current have no value: they are not used")
		return nil
	case b.Kind == series.Sums:
		return s.window(b)
	case b.Kind == series.Slow:
		return s.readings(b)
	case b.Kind == series.Turn:
		return s.turns(b)
	}
	return b
}

// inTime reports whether all ticks of a block are times.
func inTime(b *series.Block) bool {
	n := int64(b.Len())
	if b.Ticks != nil {
		if int64(len(b.Ticks)) != n {
			return false
		}
		for _, tick := range b.Ticks {
			if tick < -mostTick || tick > mostTick {
				return false
			}
		}
		return b.Step >= 0 && b.Step <= mostTick
	}
	return b.Step >= 0 && (n <= 1 || b.Step <= mostTick/n) && b.Tick >= -mostTick && b.Tick <= mostTick-b.Step*max(n, 1)
}

// window leaves out a window whose figures contradict one another.
func (s *sound) window(b *series.Block) *series.Block {
	w := b.Sum
	n := int64(w.Count)
	switch {
	case n == 0:
		return b
	case b.Step <= 0 || b.Step > longestWindow/n, b.Tick > mostTick-longestWindow:
		s.leave(1, "windows of sums have no length, or one of more than %d s: they are not used", longestWindow/1_000_000_000)
		return nil
	case int64(w.ArcOn) > n || !within(w.V, n<<15) || !within(w.I, n<<15) || !within(w.VI, n<<30):
		s.leave(1, "windows of sums have more in them than their samples can hold: they are not used")
		return nil
	}
	return b
}

func within(x, most int64) bool { return x >= -most && x <= most }

// readings leaves out what is no number.
func (s *sound) readings(b *series.Block) *series.Block {
	sane := true
	for _, v := range b.Value {
		sane = sane && inside(v, -mostReading, mostReading)
	}
	if sane && len(b.Channel) == len(b.Value) {
		return b
	}
	if len(b.Channel) != len(b.Value) {
		s.leave(int64(len(b.Value)), "readings have no channel: they are not used")
		return nil
	}
	clean := *b
	clean.Ticks, clean.Channel, clean.Value = make([]int64, 0, len(b.Value)), nil, nil
	for k, v := range b.Value {
		if !inside(v, -mostReading, mostReading) {
			s.leave(1, "readings of a slow channel are no numbers, or beyond any quantity: they are not used")
			continue
		}
		clean.Ticks, clean.Channel, clean.Value = append(clean.Ticks, b.At(k)), append(clean.Channel, b.Channel[k]), append(clean.Value, v)
	}
	return &clean
}

// turns leaves out a count to which no torch can have turned. Where the counts go on from
// there, the counter has jumped, and goes on from where it was: how far the torch went
// meanwhile is not known, but no such way.
func (s *sound) turns(b *series.Block) *series.Block {
	if s.source.CountsPerTurn == 0 {
		return b
	}
	if b.Epoch != s.epoch {
		s.counted, s.jumped, s.mute, s.epoch, s.base = false, false, false, b.Epoch, 0
	}
	if s.mute {
		return nil
	}
	clean := *b
	clean.Ticks, clean.Count = make([]int64, 0, len(b.Count)), make([]int64, 0, len(b.Count))
	for k, count := range b.Count {
		if s.follows(counted{b.At(k), count}) {
			clean.Ticks, clean.Count = append(clean.Ticks, b.At(k)), append(clean.Count, count-s.base)
		} else {
			clean.AtMark = clean.AtMark && k+1 < len(b.Count)
		}
	}
	if len(clean.Count) == 0 {
		return nil
	}
	return &clean
}

// counted is what a counter stood at.
type counted struct{ tick, count int64 }

// follows reports whether a count is one to use.
func (s *sound) follows(now counted) bool {
	switch {
	case !s.counted || s.reaches(s.last, now):
	case s.jumped && s.reaches(s.beyond, now):
		s.base += s.beyond.count - s.last.count
	default:
		s.leave(1, "turn counts jump further than a torch can have turned: they are not used")
		s.jumped, s.beyond = true, now
		return false
	}
	s.counted, s.jumped, s.last = true, false, now
	return true
}

// reaches reports whether a torch can have turned from one count to another.
func (s *sound) reaches(from, to counted) bool {
	turns := math.Abs(float64(to.count)-float64(from.count)) / s.source.CountsPerTurn
	seconds := min(math.Abs(float64(to.tick-from.tick))*1e-9, mostUnheard)
	return turns <= mostTurnsPerSecond*seconds+spareTurns
}
