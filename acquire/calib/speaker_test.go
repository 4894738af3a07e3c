package calib

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// speaker is a box that speaks from a tick of an epoch on; one without a port was
// described by a program that bound nothing.
func speaker(epoch int, tick int64, serial, port string, change ...func(*series.Source)) Speaker {
	s := series.Source{Serial: serial, Port: port, Channels: []series.Channel{{Name: "voltage", Scale: 1}, {Name: "current", Scale: 1}}}
	for _, f := range change {
		f(&s)
	}
	return Speaker{epoch, tick, s}
}

func ofVoltage(box string, gain float64) Calibration {
	return Calibration{Channel: "voltage", Gain: gain, Box: box}
}

// voltageAt is the gain in force for voltage at a place.
func voltageAt(b Register, epoch int, tick int64) float64 {
	return b.Corrected(Line{Scale: 1}, series.Channel{Name: "voltage"}, epoch, tick).Scale
}

// What was seen: a gain of 1.2 made with one box corrected another one on the same path.
func TestRegister_anotherBoxIsNotCorrected(t *testing.T) {
	b := Register{
		All:      []Timed{{ofVoltage("A", 1.2), 0, 0}},
		Speakers: Speakers{speaker(0, 0, "A", "p"), speaker(1, 0, "B", "p"), speaker(2, 0, "A", "q")},
	}
	assert.Equal(t, []float64{1.2, 1, 1.2}, []float64{voltageAt(b, 0, 5), voltageAt(b, 1, 5), voltageAt(b, 2, 5)}, "a box is known on another port too")
}

func TestSpeakers_whoIsNotNamed(t *testing.T) {
	undescribed := func(s *series.Source) { s.Assumed = true }
	contested := func(s *series.Source) { s.Contested = true }
	for name, c := range map[string]struct {
		c    Timed
		who  Speakers
		want []bool
	}{
		"first box to speak":         {Timed{ofVoltage("", 2), 0, 0}, Speakers{speaker(0, 7, "A", "p"), speaker(1, 0, "B", "p"), speaker(2, 0, "A", "p")}, []bool{true, false, true}},
		"last box before it":         {Timed{ofVoltage("", 2), 1, 50}, Speakers{speaker(0, 0, "A", "p"), speaker(1, 0, "B", "p"), speaker(2, 0, "A", "p"), speaker(3, 0, "B", "p")}, []bool{false, true, false, true}},
		"first after it":             {Timed{ofVoltage("", 2), 1, 50}, Speakers{speaker(2, 0, "A", "p"), speaker(3, 0, "B", "p")}, []bool{true, false}},
		"before it is described":     {Timed{ofVoltage("", 2), 0, 0}, Speakers{speaker(0, 0, "", "p", undescribed), speaker(0, 9, "A", "p")}, []bool{true, true}},
		"after a box was named":      {Timed{ofVoltage("", 2), 0, 0}, Speakers{speaker(0, 0, "A", "p"), speaker(1, 0, "", "p", undescribed), speaker(1, 9, "A", "p")}, []bool{true, false, true}},
		"named, and not described":   {Timed{ofVoltage("A", 2), 0, 0}, Speakers{speaker(0, 0, "", "p", undescribed), speaker(0, 9, "A", "p")}, []bool{false, true}},
		"two boxes of one serial":    {Timed{ofVoltage("A", 2), 0, 0}, Speakers{speaker(0, 0, "A", "p"), speaker(0, 5, "A", "p", contested), speaker(0, 9, "A", "p")}, []bool{true, false, true}},
		"two of them from the first": {Timed{ofVoltage("", 2), 0, 0}, Speakers{speaker(0, 5, "A", "p", contested), speaker(0, 9, "A", "p")}, []bool{false, true}},
		"a port is no serial":        {Timed{ofVoltage("port p", 2), 0, 0}, Speakers{speaker(0, 0, "", "p"), speaker(1, 0, "", "q"), speaker(2, 0, "port p", "p"), speaker(3, 0, "p", "p")}, []bool{true, false, false, false}},
		"as older programs had it":   {Timed{ofVoltage("", 2), 0, 0}, Speakers{speaker(0, 0, "A", ""), speaker(1, 0, "B", ""), speaker(2, 0, "C", "p")}, []bool{true, true, false}},
		"named, in an old record":    {Timed{ofVoltage("A", 2), 0, 0}, Speakers{speaker(0, 0, "A", ""), speaker(1, 0, "B", "")}, []bool{true, false}},
		"a capture":                  {Timed{ofVoltage("", 2), 0, 0}, Speakers{speaker(0, 0, "", "")}, []bool{true}},
		"a capture is no box":        {Timed{ofVoltage("A", 2), 0, 0}, Speakers{speaker(0, 0, "", "")}, []bool{false}},
		"what no channel measures":   {Timed{Calibration{Channel: "travel", Box: "A"}, 0, 0}, Speakers{speaker(0, 0, "B", "p")}, []bool{true}},
	} {
		for k, want := range c.want {
			if c.c.Epoch > c.who[k].Epoch {
				continue // it has not begun
			}
			assert.Equal(t, want, c.who[:k+1].Holds(&c.c, k), "%s, %d, as it comes", name, k)
			assert.Equal(t, want, c.who.Holds(&c.c, k), "%s, %d, afterwards", name, k)
		}
	}
	assert.True(t, Speakers{}.Holds(&Timed{}, -1), "nobody spoke yet")
	assert.False(t, Speakers{}.Holds(&Timed{Calibration: ofVoltage("A", 2)}, -1))
}

// The channel of a companion is corrected by the calibration of the companion alone.
func TestSpeakers_companions(t *testing.T) {
	wire := func(s *series.Source) {
		s.Channels = append(s.Channels, series.Channel{Name: "wire_speed", Owner: "W"}, series.Channel{Name: "wire_speed", Owner: "X"})
	}
	who := Speakers{speaker(0, 0, "A", "p", wire)}
	of := func(box string) []Timed {
		return []Timed{{Calibration: Calibration{Channel: "wire_speed", Gain: 3, Box: box}}}
	}
	channels := who[0].Source.Channels
	for box, want := range map[string][2]float64{"W": {3, 1}, "X": {1, 3}, "A": {1, 1}, "": {3, 1}} {
		got := [2]float64{who.Under(InUnit(), channels[2], of(box), 0).Scale, who.Under(InUnit(), channels[3], of(box), 0).Scale}
		assert.Equal(t, want, got, box)
	}
}

// At is by the last who began.
func TestSpeakers_At(t *testing.T) {
	who := Speakers{speaker(0, 5, "A", "p"), speaker(0, 9, "B", "p"), speaker(2, -3, "C", "p")}
	for place, want := range map[[2]int64]int{{0, 0}: 0, {0, 8}: 0, {0, 9}: 1, {1, -9}: 1, {2, -4}: 1, {2, -3}: 2, {3, 0}: 2} {
		assert.Equal(t, want, who.At(int(place[0]), place[1]), place)
	}
	assert.Equal(t, -1, Speakers(nil).At(0, 0))
}

// In force at the end is one a channel and box, by the place from which each holds.
func TestRegister_inForce(t *testing.T) {
	b := Register{All: []Timed{
		{ofVoltage("A", 3), 1, 50}, {ofVoltage("", 1), 0, 0}, {Calibration{Channel: "travel"}, 0, 0}, {ofVoltage("", 2), 0, 0}, {ofVoltage("B", 5), 1, 60},
	}}
	gains := func() (all []string) {
		for _, c := range b.InForce() {
			all = append(all, fmt.Sprintf("%s of %q %g", c.Channel, c.Box, c.Gain))
		}
		return all
	}
	assert.Equal(t, []string{`travel of "" 0`, `voltage of "" 2`, `voltage of "A" 3`, `voltage of "B" 5`}, gains())
	b.Speakers = Speakers{speaker(0, 1, "A", "p"), speaker(2, 0, "C", "p")}
	assert.Equal(t, []string{`travel of "" 0`, `voltage of "A" 3`, `voltage of "B" 5`}, gains(), "it was the box that spoke first")
	b.Speakers = Speakers{speaker(0, 1, "A", "")}
	assert.Equal(t, []string{`travel of "" 0`, `voltage of "" 2`, `voltage of "A" 3`, `voltage of "B" 5`}, gains(), "bound to nobody, as it was")
}

// Whatever boxes come and go and whenever checks are made: no calibration that names a
// box, or was there while one spoke, corrects a sample of another; and what holds as
// the samples come holds when all of them are there.
func TestRegister_neverAnother(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 9))
	serials := []string{"A", "B", "C", "", " A ", "port p"}
	for range 2000 {
		var b Register
		made := map[float64]string{} // by the gain, which box may be corrected by it
		for epoch := range 2 + random.IntN(6) {
			s := speaker(epoch, 0, serials[random.IntN(len(serials))], []string{"p", "q"}[random.IntN(2)], func(s *series.Source) {
				s.Assumed, s.Contested = random.IntN(8) == 0, random.IntN(8) == 0
			})
			b.Speakers = append(b.Speakers, s)
			box := s.Source.Identity()
			for range random.IntN(3) {
				gain := 2 + float64(len(b.All))
				c := Timed{ofVoltage("", gain), epoch, 1 + random.Int64N(9)}
				if random.IntN(2) == 0 && series.IsNamed(box) {
					c.Box = box
				}
				b.All = append(b.All, c)
				if series.IsNamed(box) {
					made[gain] = box
				}
			}
			if got := voltageAt(b, epoch, 10); got != 1 && made[got] != "" {
				require.Equal(t, made[got], box, "%+v", b)
			}
		}
		for k, s := range b.Speakers {
			now := voltageAt(b, s.Epoch, 10)
			require.Equal(t, voltageAt(Register{b.All, b.Speakers[:k+1]}, s.Epoch, 10), now, "%d of %+v", k, b)
			require.False(t, now != 1 && s.Source.Contested, "%+v", b)
		}
	}
}
