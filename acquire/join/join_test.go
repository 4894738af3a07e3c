package join

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/clock"
	"arctally/acquire/series"
)

// What is handed on is the same for any order in which the boxes are heard, and where it
// is read from a record.
func TestJoin_anyOrder(t *testing.T) {
	for seed := range uint64(4) {
		said := world(seed)
		want := read(t, said, false)
		require.Greater(t, len(want.lines), 60_000)
		for k := range uint64(5) {
			got, late := live(t, order(said, 10*seed+k, time.Duration(k)*time.Second))
			require.False(t, late, "seed %d, %d", seed, k)
			same(t, want, got, fmt.Sprintf("seed %d, order %d", seed, k))
		}
	}
}

// same wants what was handed on to be the same, in the same order.
func same(t *testing.T, want, got *heard, what string) {
	t.Helper()
	first := 0
	for first < min(len(want.lines), len(got.lines)) && want.lines[first] == got.lines[first] {
		first++
	}
	few := func(lines []string) []string { return lines[first:min(len(lines), first+3)] }
	require.Equal(t, few(want.lines), few(got.lines), "%s, after %d", what, first)
	assert.ElementsMatch(t, want.events, got.events, what)
}

// What is handed on of box 0 is all that it said, as it said it, whoever else speaks.
func TestJoin_theArcAsItIs(t *testing.T) {
	said := world(7)
	alone := &heard{}
	for _, c := range said[0] {
		if c.block != nil && c.block.Kind == series.Arc {
			require.NoError(t, alone.Block(c.block))
		}
	}
	for name, calls := range map[string][]call{
		"with others": order(said, 1, time.Second), "with none": said[0],
	} {
		got, late := live(t, calls)
		require.False(t, late)
		arc := slices.DeleteFunc(slices.Clone(got.lines), func(line string) bool { return !strings.Contains(line, " arc ") })
		require.Equal(t, alone.lines, arc, name)
		own := slices.DeleteFunc(slices.Clone(got.lines), func(line string) bool { return !strings.Contains(line, " slow gas_flow ") })
		require.Len(t, own, 600, name)
	}
}

// What companions measured stands where it was measured, on the clock of box 0: theirs
// drift by 80 ppm and begin anew, and their host times are 15 ms later.
func TestJoin_placesByHand(t *testing.T) {
	h, late := live(t, order(world(3), 3, time.Second))
	require.False(t, late)
	arc := &teller{ppm: 50, boots: []time.Duration{0, 34 * time.Second}, epochs: []int{0, 4}}
	n := map[string]int{}
	for _, line := range h.lines {
		var epoch int
		var channel string
		var tick int64
		if k, _ := fmt.Sscanf(line, "%d %d slow %s", &epoch, &tick, &channel); k < 3 || channel == "gas_flow" {
			continue
		}
		// Box 1 is seen 15 ms later than box 0, and box 2 2 ms: nobody can know better.
		late := map[string]time.Duration{"wire_speed": 15 * time.Millisecond, "temperature": 2 * time.Millisecond}[channel]
		at := time.Duration(n[channel]) * 100 * time.Millisecond
		n[channel]++
		e, want := arc.tick(at + late)
		if at+late >= 34*time.Second && at < 34*time.Second {
			continue // it was measured before the reboot, and seen after
		}
		require.Equal(t, e, epoch, line)
		require.InDelta(t, want, tick, 50e3, line)
	}
	require.Equal(t, map[string]int{"wire_speed": 600, "temperature": 600}, n)
}

// The description that is handed on is that of box 0 with what others have besides.
func TestJoin_description(t *testing.T) {
	h, _ := live(t, order(world(1), 1, time.Second))
	var names []string
	for _, c := range h.source.Channels {
		names = append(names, fmt.Sprintf("%s of %d", c.Name, c.Box))
	}
	assert.Equal(t, []string{"voltage of 0", "current of 0", "gas_flow of 0", "wire_speed of 1", "temperature of 2"}, names)
	assert.Equal(t, "box-0", h.source.Name)
	assert.EqualValues(t, 360, h.source.CountsPerTurn)
	assert.Equal(t, 1, h.source.TurnBox)
	said := map[string]bool{}
	for _, e := range h.events {
		said[e.Text] = true
	}
	assert.True(t, said["the gas_flow of box 1 (box-1) is recorded and not judged: a box before it measures it too"])
	assert.True(t, said["the voltage of box 2 (box-2) is recorded and not judged: another box tells the arc"])
	assert.True(t, said["box 1 (box-1), reboot: it started again"])
}

// What happened to a companion is none of what box 0 says.
func TestJoin_mishapsAreRemarks(t *testing.T) {
	h, _ := live(t, order(world(2), 2, time.Second))
	for _, e := range h.events {
		if e.Box == 0 {
			assert.Equal(t, series.Reboot, e.Kind)
			continue
		}
		assert.Contains(t, []series.EventKind{series.Companion, series.Offset, series.CountsAnew, series.Index}, e.Kind)
		assert.Contains(t, []int{0, 4}, e.Epoch, "an epoch of box 0: %v", e)
	}
}

// A counter that begins anew on one clock goes on from where it was, and that is said.
func TestJoin_countsAnew(t *testing.T) {
	h, _ := live(t, order(world(2), 2, 0))
	var counts []int64
	anew := 0
	for _, line := range h.lines {
		var epoch int
		var tick, count int64
		if k, _ := fmt.Sscanf(line, "%d %d turn %d", &epoch, &tick, &count); k == 3 && epoch == 0 {
			counts = append(counts, count)
		}
		if strings.HasPrefix(line, "event {counts-anew") {
			anew++
		}
	}
	require.Equal(t, 1, anew)
	require.Greater(t, len(counts), 100)
	for k := 1; k < len(counts); k++ {
		require.LessOrEqual(t, counts[k]-counts[k-1], int64(1), "as if the torch had stood")
		require.GreaterOrEqual(t, counts[k], counts[k-1])
	}
}

// What round trips bound replaces the worst case: of both, where both answer.
func TestJoin_apart(t *testing.T) {
	said := world(5)
	said[0] = slices.Insert(said[0], len(said[0])/2, call{at: 30 * time.Second, event: &series.Event{Kind: series.Offset, Epoch: 0, Tick: 33e9, Until: 33e9, Count: 1e6}})
	h, late := live(t, order(said, 5, time.Second))
	require.False(t, late)
	same(t, read(t, said, false), h, "with what became known of box 0")
	var told []int64
	for _, e := range h.events {
		if e.Kind == series.Offset && e.Box == 1 {
			told = append(told, e.Count)
		}
	}
	worst := int64(clock.Unbounded(115200).To)
	require.Len(t, told, 3)
	assert.Equal(t, worst, told[0])
	assert.Equal(t, int64(3e6), told[2])
}

// A companion that is silent keeps nothing back for longer than the patience. What it
// says of the time before is late, and that is said.
func TestJoin_silence(t *testing.T) {
	said := world(4)
	for _, c := range []struct {
		silent time.Duration
		late   bool
	}{{4 * time.Second, false}, {30 * time.Second, true}} {
		held := slices.Clone(said[1])
		for k := range held {
			if at := held[k].at; at > 15*time.Second && at < 15*time.Second+c.silent {
				held[k].at = 15*time.Second + c.silent
			}
		}
		calls := order([][]call{said[0], held, said[2]}, 1, 0)
		h := &heard{}
		j := New(h, 3, func(int string) int { return 0 })
		samples := func() (n int) {
			for _, line := range h.lines {
				if strings.Contains(line, " arc ") {
					n++
				}
			}
			return n
		}
		for k := range calls {
			require.NoError(t, calls[k].to(j))
			if at := calls[k].at; k%5000 == 0 && at > 30*time.Second {
				require.Greater(t, samples(), int((at - 17*time.Second).Milliseconds()), "after %v", at)
			}
		}
		require.NoError(t, j.Finish())
		require.Equal(t, c.late, j.Late())
		if c.late {
			continue
		}
		same(t, read(t, [][]call{said[0], held, said[2]}, false), h, "in time")
	}
}

// Whoever looks on waits for nothing.
func TestJoin_ahead(t *testing.T) {
	h := &heard{}
	j := NewAhead(h, 3, func(string) int { return 0 })
	said := world(4)
	arc := 0
	calls := order(said, 4, time.Second)
	for k := range calls {
		require.NoError(t, calls[k].to(j))
		if b := calls[k].block; b != nil && b.Kind == series.Arc {
			arc += b.Len()
			last := h.lines[len(h.lines)-1]
			for i := len(h.lines) - 1; !strings.Contains(last, " arc "); i-- {
				last = h.lines[i]
			}
			require.Contains(t, last, fmt.Sprintf("%d %d arc", b.Epoch, b.At(b.Len()-1)))
		}
	}
	slow := 0
	for _, line := range h.lines {
		if strings.Contains(line, " slow wire_speed ") {
			slow++
		}
	}
	assert.Greater(t, slow, 550)
}

// Without a fit nothing has a place: it is counted, and not used.
func TestJoin_withoutFits(t *testing.T) {
	h := &heard{}
	j := New(h, 2, func(string) int { return 0 })
	require.NoError(t, j.Source(*sourceOf(0)))
	require.NoError(t, j.Source(*sourceOf(1)))
	require.NoError(t, j.Block(&series.Block{Kind: series.Slow, Box: 1, Epoch: 1, Tick: 5, Channel: []uint8{0}, Value: []float64{1}}))
	require.NoError(t, j.Block(&series.Block{Kind: series.Turn, Box: 1, Epoch: 1, Tick: 5, Count: []int64{1}}))
	require.NoError(t, j.Block(&series.Block{Kind: series.Arc, Tick: 5, V: []int32{1}, I: []int32{1}}))
	require.NoError(t, j.Clock(clock.Fit{Box: 1, Epoch: 1, Tick: 7, Slope: 1}), "one of a capture knows no host time")
	require.NoError(t, j.Finish())
	require.Len(t, h.events, 1)
	assert.Equal(t, "2 readings and counts of box 1 (box-1) have no place: its clock, or that of the box that tells the arc, was never held against the host's; they are not used", h.events[0].Text)
	assert.Equal(t, []string{"source box-0, 0 counts, " + fmt.Sprint(sourceOf(0).Channels), "0 5 arc 1 1 false"}, h.lines)
}

// Where an index is known beforehand it comes first, and not again.
func TestJoin_early(t *testing.T) {
	said := world(6)
	late, early := read(t, said, false), read(t, said, true)
	index := func(h *heard) (all []series.Event) {
		for _, e := range h.events {
			if e.Kind == series.Index {
				all = append(all, e)
			}
		}
		return all
	}
	assert.ElementsMatch(t, index(late), index(early))
	assert.True(t, strings.HasPrefix(early.lines[0], "event {index"), early.lines[0])
	assert.True(t, strings.HasPrefix(late.lines[0], "source"))
}

func TestTimeline_byHand(t *testing.T) {
	var l timeline
	at := func(s float64) int64 { return noon.UnixNano() + int64(s*1e9) }
	fit := func(epoch int, tick, wall float64) {
		l.add(clock.Fit{Epoch: epoch, Tick: int64(tick * 1e9), Wall: noon.Add(time.Duration(wall * 1e9)), Slope: 1})
	}
	_, a := l.host(0, 0, false)
	require.Equal(t, wait, a)
	fit(0, 100, 0) // the first ones are off
	fit(0, 105, 5.5)
	fit(0, 110, 11)
	fit(0, 120, 22)
	for _, c := range []struct{ tick, host float64 }{{95, -4}, {100, 1}, {110, 11}, {110.5, 12.5}, {120, 22}} {
		host, a := l.host(0, int64(c.tick*1e9), false)
		require.Equal(t, known, a)
		require.Equal(t, at(c.host), host, "tick %v", c.tick)
	}
	_, a = l.host(0, 120e9+1, false)
	require.Equal(t, wait, a, "the next fit may be another one")
	host, a := l.host(0, 121e9, true)
	require.Equal(t, known, a)
	require.Equal(t, at(23), host)
	_, a = l.place(at(22)+1, false)
	require.Equal(t, wait, a)
	fit(1, 3, 40)
	host, a = l.host(0, 121e9, false)
	require.Equal(t, known, a, "the epoch is over")
	require.Equal(t, at(23), host)
	_, a = l.host(1, 3e9, false)
	require.Equal(t, wait, a, "its fits are too short yet")
	p, a := l.place(at(39), false)
	require.Equal(t, known, a)
	require.Equal(t, place{0, 137e9}, p, "before the next epoch was first seen")
	_, a = l.place(at(40), false)
	require.Equal(t, wait, a)
	l.complete = true
	p, a = l.place(at(40), false)
	require.Equal(t, known, a)
	require.Equal(t, place{1, 3e9}, p)
	_, a = l.host(2, 0, false)
	require.Equal(t, never, a)
}

// One box is handed on for next to nothing more than a copy.
func BenchmarkJoin_oneBox(b *testing.B) {
	samples := make([]int32, 1000)
	for name, to := range map[string]func(series.Sink) series.Sink{
		"alone":  func(s series.Sink) series.Sink { return s },
		"joined": func(s series.Sink) series.Sink { return New(s, 1, func(string) int { return 0 }) },
	} {
		b.Run(name, func(b *testing.B) {
			s := to(discard{})
			require.NoError(b, s.Source(*sourceOf(0)))
			for k := range b.N {
				block := series.Block{Kind: series.Arc, Tick: int64(k) * 1e8, Step: 1e5, V: samples, I: samples}
				if err := s.Block(&block); err != nil {
					b.Fatal(err)
				}
				if j, ok := s.(*Join); ok && k%10 == 0 {
					if err := j.Clock(clock.Fit{Tick: block.At(999), Wall: noon.Add(time.Duration(k) * 1e8), Slope: 1}); err != nil {
						b.Fatal(err)
					}
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1000, "ns/sample")
		})
	}
}

type discard struct{}

func (discard) Source(series.Source) error { return nil }
func (discard) Block(*series.Block) error  { return nil }
func (discard) Event(series.Event) error   { return nil }

// Any calls in any order: nothing panics, nothing is placed without a fit, and what is
// handed on of box 0 is what it said.
func FuzzJoin(f *testing.F) {
	f.Add([]byte{0, 0, 0, 0, 1, 0, 0, 0, 2, 0, 0, 9, 3, 0, 0, 9, 4, 1, 1, 5, 2, 1, 1, 5, 3, 1, 1, 5})
	f.Add([]byte("source, fit, block and event of several boxes"))
	f.Fuzz(func(t *testing.T, script []byte) {
		h := &heard{}
		j := New(h, 2, func(string) int { return 0 })
		fits, want := map[int]bool{}, 0
		for ; len(script) >= 4; script = script[4:] {
			number, epoch, tick := int(script[1]%4)-int(script[1]/250), int(script[2]%8), int64(int8(script[3]))*1e9
			if script[2] > 250 {
				tick = math.MaxInt64 - int64(script[3])
			}
			var err error
			switch script[0] % 8 {
			case 0:
				s := *sourceOf(number)
				s.Box, s.CountsPerTurn = number, float64(script[3]%2)*360
				err = j.Source(s)
			case 1:
				fits[number] = fits[number] || number >= 0
				err = j.Clock(clock.Fit{Box: number, Epoch: epoch, Tick: tick, Wall: noon.Add(time.Duration(int8(script[3])) * time.Second), Slope: 1})
			case 2:
				b := &series.Block{Kind: series.Arc, Box: number, Epoch: epoch, Tick: tick, Step: 1e6, V: make([]int32, 3), I: make([]int32, 3)}
				if number == 0 && inTime(b) {
					want += 3
				}
				err = j.Block(b)
			case 3:
				err = j.Block(&series.Block{Kind: series.Slow, Box: number, Epoch: epoch, Tick: tick, Channel: []uint8{script[2]}, Value: []float64{1}})
			case 4:
				err = j.Block(&series.Block{Kind: series.Turn, Box: number, Epoch: epoch, Tick: tick, Ticks: []int64{tick}, Count: []int64{int64(script[3])}})
			case 5:
				kinds := []series.EventKind{series.Index, series.Offset, series.ClockRate, series.Gap}
				err = j.Event(series.Event{Kind: kinds[script[3]%4], Box: number, Epoch: epoch, Tick: tick, Until: tick + 1, Count: int64(script[3])})
			case 6:
				err = j.Block(&series.Block{Kind: series.Sums, Box: number, Epoch: epoch, Tick: tick, Step: 1e6, Sum: series.WindowSums{Count: uint32(script[3])}})
			default:
				err = j.Past(number, epoch, tick)
			}
			require.NoError(t, err)
		}
		require.NoError(t, j.Finish())
		arc := 0
		for _, line := range h.lines {
			if strings.Contains(line, " arc ") {
				arc++
			}
			if strings.Contains(line, " slow wire_speed") || strings.Contains(line, " slow temperature") {
				require.True(t, fits[0] && (fits[1] || fits[2] || fits[3]), "placed without a fit: %s", line)
			}
		}
		require.Equal(t, want, arc)
	})
}
