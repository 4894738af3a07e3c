package acquire

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/link"
)

// frame is what the order of frames rests on.
func frame(boot uint16, seq uint32, tick int64) *link.Reading {
	return &link.Reading{Boot: boot, Seq: seq, HasSeq: true, Tick: tick}
}

// Each case is judged after the frames before it, which are boot 7 from seq 100.
func TestSequence_judge(t *testing.T) {
	for _, c := range []struct {
		name    string
		next    *link.Reading
		verdict verdict
		missing uint32
	}{
		{"the next one", frame(7, 103, 30), follows, 0},
		{"one is missing", frame(7, 104, 30), lost, 1},
		{"as many as can be told from a step back", frame(7, 103+1<<31-1, 30), lost, 1<<31 - 1},
		{"one more is a step back", frame(7, 103+1<<31, 30), restarted, 0},
		{"the last one again", frame(7, 102, 20), again, 0},
		{"an earlier one again", frame(7, 100, 0), again, 0},
		{"its number with another tick", frame(7, 100, 1), restarted, 0},
		{"a number that never was", frame(7, 99, 0), restarted, 0},
		{"another boot, whatever its number", frame(8, 103, 30), rebooted, 0},
		{"another boot, as an earlier frame", frame(6, 100, 0), rebooted, 0},
		{"no numbers on this link", &link.Reading{Boot: 7, Seq: 9}, follows, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			var s sequence
			for k := range uint32(3) {
				v, _ := s.judge(frame(7, 100+k, 10*int64(k)))
				assert.Equal(t, k == 0, v == first)
			}
			v, missing := s.judge(c.next)
			assert.Equal(t, c.verdict, v)
			assert.Equal(t, c.missing, missing)
			assert.Equal(t, c.verdict == again, s.repeated)
			if c.verdict == again {
				v, _ = s.judge(frame(7, 103, 30))
				assert.Equal(t, follows, v, "what came again does not move on")
			}
		})
	}
}

// The sequence goes on at 0 behind 2^32-1.
func TestSequence_wraps(t *testing.T) {
	for _, c := range []struct {
		next    uint32
		verdict verdict
		missing uint32
	}{{0, follows, 0}, {1, lost, 1}, {5, lost, 5}, {1<<32 - 1, again, 0}, {1<<32 - 2, again, 0}} {
		var s sequence
		s.judge(frame(7, 1<<32-2, int64(1<<32-2)))
		s.judge(frame(7, 1<<32-1, int64(1<<32-1)))
		v, missing := s.judge(frame(7, c.next, int64(c.next)))
		assert.Equal(t, c.verdict, v, "%d", c.next)
		assert.Equal(t, c.missing, missing, "%d", c.next)
	}
}

// A frame is known again among the last 64, and none of a boot before.
func TestSequence_remembers(t *testing.T) {
	for back, want := range map[uint32]verdict{1: again, 64: again, 65: restarted} {
		var s sequence
		for k := range uint32(100) {
			s.judge(frame(7, k, int64(k)))
		}
		v, _ := s.judge(frame(7, 100-back, int64(100-back)))
		assert.Equal(t, want, v, "%d back", back)
	}
	for name, anew := range map[string]*link.Reading{"boot": frame(8, 50, 0), "restart": frame(7, 5, 999)} {
		var s sequence
		for k := range uint32(10) {
			s.judge(frame(7, k, int64(k)))
		}
		s.judge(anew)
		v, _ := s.judge(frame(anew.Boot, 3, 3))
		assert.Equal(t, restarted, v, "the frame with this number and tick was one of before the %s", name)
	}
}
