package draw

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/byangle"
	"arctally/report/sheet/sheettest"
)

func TestAngles(t *testing.T) {
	f := Angles(sheettest.BySweep())
	require.Len(t, f, 1)
	svg := string(f[0].Drawing.SVG())
	curve := regexp.MustCompile(`<path d="([^"]*)" class="axis" fill="none"/>`).FindStringSubmatch(svg)
	require.NotNil(t, curve)
	assert.Equal(t, 2, strings.Count(curve[1], "M"), "one stroke on either side of the gap")
	assert.Equal(t, 1, strings.Count(svg, `class="bar"`), "one crest")
	assert.Contains(t, f[0].Drawing.Words, "once a turn: 5.00 %, highest at 200°")
	assert.Contains(t, f[0].Drawing.Words, "no swing twice a turn above 0.18 %")
	quiet := sheettest.Sweep()
	quiet.OffCentre = byangle.Swing{}
	assert.Equal(t, []string{"too few turns to tell a swing from noise"}, angleFigure(&quiet).Lines)
}

// Those with something found come first, and a job of many layers has only some drawn.
func TestAngles_FoundFirst(t *testing.T) {
	s := sheettest.BySweep()
	found := s.Sweeps[0]
	quiet := found
	quiet.Layer, quiet.OffCentre.Found = 1, false
	s.Sweeps = nil
	for range 9 {
		s.Sweeps = append(s.Sweeps, quiet)
	}
	s.Sweeps = append(s.Sweeps, found)
	f := Angles(s)
	require.Len(t, f, 8)
	assert.Contains(t, f[0].Title, "Layer 2, pass 2, 12.0 turns, mean 140.0 A")
	assert.Contains(t, f[1].Title, "Layer 1")
}
