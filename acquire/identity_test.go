package acquire_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire"
	"arctally/acquire/link"
	"arctally/acquire/series"
)

// of is a described box with a serial.
func of(serial string) series.Source {
	s := described()
	s.Serial = serial
	return s
}

// owners are, block by block of a box, its epoch and who had said that he speaks.
func (m *memory) owners(box int) (all []string) {
	sources, blocks := m.sources, m.blocks
	var who string
	for _, call := range m.calls {
		switch kind := strings.TrimPrefix(call, "break "); kind {
		case "source":
			if sources[0].Box == box {
				who = sources[0].Identity()
			}
			sources = sources[1:]
		case "arc", "sums", "slow", "turn":
			if b := blocks[0]; b.Box == box {
				all = append(all, string(rune('0'+b.Epoch))+" "+who)
			}
			blocks = blocks[1:]
		}
	}
	return all
}

// told are the texts of a kind of event.
func (m *memory) told(kind series.EventKind) (texts []string) {
	for _, e := range m.events {
		if e.Kind == kind {
			texts = append(texts, e.Text)
		}
	}
	return texts
}

// saysAt lets a box speak at a time of the host.
func (s *stage) saysAt(k int, b *box, at time.Time) {
	stream := b.stream
	b.stream = nil
	s.act(k, func(to acquire.Listener) error {
		s.actors[k].decoder.Decode(stream, func(r *link.Reading, err error) { to.Heard(at, r, err) })
		to.Through(at, len(stream))
		return nil
	})
}

func (s *stage) line(k int, kind series.EventKind) {
	s.act(k, func(to acquire.Listener) error {
		to.Line(series.Event{Kind: kind, Text: string(kind)})
		return nil
	})
}

// A box that takes the place of another one is never taken for it, whatever its boot
// number and its counter say.
func TestRecord_anotherBoxOnThePath(t *testing.T) {
	for name, c := range map[string]struct {
		other func(*box)
		want  []string
		told  int
	}{
		"another boot, and says who it is": {func(b *box) { b.reboot(); b.hello(of("B")); b.arc(1) }, []string{"0 A", "1 B"}, 1},
		"another boot, and says it later":  {func(b *box) { b.reboot(); b.arc(1); b.hello(of("B")); b.arc(1) }, []string{"0 A", "1 " + series.Undescribed, "1 B"}, 1},
		"the same boot, counts on":         {func(b *box) { b.head.Seq += 9; b.head.TickUS += 9e6; b.hello(of("B")); b.arc(1) }, []string{"0 A", "1 B"}, 1},
		"the same boot, counts lower":      {func(b *box) { b.head.Seq = 0; b.arc(1); b.hello(of("B")); b.arc(1) }, []string{"0 A", "1 " + series.Undescribed, "1 B"}, 1},
		"no serial any more":               {func(b *box) { b.reboot(); b.hello(of("")); b.arc(1) }, []string{"0 A", "1 port a"}, 1},
		"the same box after a restart":     {func(b *box) { b.reboot(); b.hello(of("A")); b.arc(1) }, []string{"0 A", "1 A"}, 0},
		"the same box says it later":       {func(b *box) { b.reboot(); b.arc(1); b.hello(of("A")); b.arc(1) }, []string{"0 A", "1 " + series.Undescribed, "1 A"}, 0},
		"the same box says more":           {func(b *box) { s := of("A"); s.Firmware = "2"; b.hello(s); b.arc(1) }, []string{"0 A", "0 A"}, 0},
		"the same box, after a loss":       {func(b *box) { b.loseArc(3); b.arc(1) }, []string{"0 A", "0 A"}, 0},
	} {
		s := newStage(t, on("a"))
		b := newBox(t)
		b.head.Seq = 100
		b.hello(of("A"))
		b.arc(1)
		s.says(0, b)
		c.other(b)
		s.says(0, b)
		m := s.end()
		assert.Equal(t, c.want, m.owners(0), name)
		assert.Len(t, m.told(series.AnotherBox), c.told, name)
		if c.told > 0 {
			assert.Contains(t, m.told(series.AnotherBox)[0], "in place of box A", name)
		}
		for k, source := range m.sources {
			if source.Assumed && k > 0 {
				assert.Equal(t, described().Channels, source.Channels, name)
				assert.Empty(t, source.Serial, name)
			}
		}
	}
}

// Whoever comes back after a plug with another clock is another box until it says who
// it is; one whose clock goes on is the same.
func TestRecord_clockOverAPlug(t *testing.T) {
	for name, c := range map[string]struct {
		away time.Duration
		tick uint64 // us by which the clock of the box goes on meanwhile
		want []string
	}{
		"goes on":         {5 * time.Second, 5e6, []string{"0 A", "0 A"}},
		"a little late":   {5 * time.Second, 3.5e6, []string{"0 A", "0 A"}},
		"stood still":     {5 * time.Second, 0, []string{"0 A", "1 " + series.Undescribed}},
		"far ahead":       {5 * time.Second, 60e6, []string{"0 A", "1 " + series.Undescribed}},
		"was away for 1s": {time.Second, 0, []string{"0 A", "0 A"}},
	} {
		s := newStage(t, on("a"))
		b := newBox(t)
		b.hello(of("A"))
		b.arc(1)
		s.saysAt(0, b, stageTime)
		s.line(0, series.Unplugged)
		s.line(0, series.Replugged)
		b.head.TickUS += c.tick
		b.head.Seq += 50
		b.arc(1)
		s.saysAt(0, b, stageTime.Add(c.away))
		assert.Equal(t, c.want, s.end().owners(0), name)
	}
}

// Two boxes that say one serial while both speak are told at once, and neither counts
// as that box until it is one again; one that was unplugged first has only moved.
func TestRecordBoxes_oneSerialTwice(t *testing.T) {
	const both = "(two boxes say A)"
	one, two := newBox(t), newBox(t)
	say := func(b *box, serial string) {
		b.hello(of(serial))
		b.arc(1)
	}
	s := newStage(t, on("a"), on("b"))
	say(one, "A")
	s.says(0, one)
	say(two, "A")
	s.says(1, two)
	say(one, "A")
	s.says(0, one)
	s.line(1, series.Unplugged)
	one.arc(1)
	s.says(0, one)
	m := s.end()
	assert.Equal(t, []string{"0 A", "0 " + both, "0 A"}, m.owners(0))
	assert.Equal(t, []string{"1 " + both}, m.owners(1))
	told := m.told(series.SameSerial)
	require.Len(t, told, 4)
	assert.Equal(t, "two boxes say that they are box A, on a and on b: what is bound to it holds for neither until it is one again", told[0])
	assert.Equal(t, "box A speaks on a alone again: what is bound to it holds from here on", told[2])

	s = newStage(t, on("a"), on("b"))
	say(one, "A")
	s.says(0, one)
	s.line(0, series.Unplugged)
	say(two, "A")
	s.says(1, two)
	s.line(0, series.Replugged)
	m = s.end()
	assert.Empty(t, m.told(series.SameSerial), "it moved to another port")
	assert.Equal(t, []string{"1 A"}, m.owners(1))

	s = newStage(t, on("a"), on("b"))
	say(one, "A")
	say(two, "A")
	s.says(0, one)
	s.seconds(11)
	s.says(1, two)
	assert.Empty(t, s.end().told(series.SameSerial), "the first had been silent for long")

	s = newStage(t, on("a"), on("b"))
	say(one, "")
	say(two, "")
	s.says(0, one)
	s.says(1, two)
	assert.Empty(t, s.end().told(series.SameSerial), "no serial is not a serial")

	s = newStage(t, on("a"), on("b"))
	say(one, "A")
	say(two, "B")
	s.says(0, one)
	s.says(1, two)
	say(two, "A")
	s.says(1, two)
	say(two, "B")
	s.says(1, two)
	m = s.end()
	assert.Len(t, m.told(series.SameSerial), 4, "a claim that is taken back")
	assert.Equal(t, []string{"1 B", "2 " + both, "3 B"}, m.owners(1))
}
