package draw

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/byangle"
	"arctally/report/sheet/sheettest"
)

func TestSheet_angleViews(t *testing.T) {
	s := sheettest.BySweep()
	v := Angles(s)
	require.Len(t, v, 1)
	assert.Equal(t, 2, strings.Count(v[0].Curve, "M"), "one stroke on either side of the gap")
	assert.Len(t, v[0].Crests, 1)
	assert.Contains(t, v[0].Summary, "once a turn: 5.00 %, highest at 200°")
	assert.Contains(t, v[0].Summary, "no swing twice a turn above 0.18 %")
	quiet := sheettest.Sweep()
	quiet.OffCentre = byangle.Swing{}
	assert.Equal(t, []string{"too few turns to tell a swing from noise"}, newAngleView(&quiet).Lines)
}
