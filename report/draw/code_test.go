package draw

import (
	"image"
	"image/color"
	"strings"
	"testing"

	qr "github.com/piglig/go-qr"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The squares are those of the code, with what has to stay light around them.
func TestCode(t *testing.T) {
	const text = "ARCTALLY HEAD 0123456789ABCDEF0123456789ABCDEF0123456789ABCDEF0123456789ABCDEF"
	d := Code(text, "the head")
	code, err := qr.EncodeText(text, qr.Medium)
	require.NoError(t, err)
	assert.Equal(t, 33, code.Size(), "capitals and figures take a code of version 4")
	assert.Equal(t, "0 0 41 41", d.Box.String())
	dark := image.NewGray(image.Rect(0, 0, 41, 41))
	path := d.Layers[1][0].(Path)
	var corner [2]float64
	for _, s := range path.Outline {
		switch s.letter {
		case 'M':
			corner = [2]float64{s.x.value(), s.y.value()}
		case 'V':
			assert.InDelta(t, 1, s.y.value()-corner[1], 0)
		case 'H':
			for x := corner[0]; x < s.x.value(); x++ {
				dark.SetGray(int(x), int(corner[1]), color.Gray{1})
			}
		}
	}
	for y := range 41 {
		for x := range 41 {
			want := min(x, y, 40-x, 40-y) >= QuietZone && code.Module(x-QuietZone, y-QuietZone)
			require.Equal(t, want, dark.GrayAt(x, y).Y == 1, "%d, %d", x, y)
		}
	}
	assert.Contains(t, string(d.SVG()), `aria-label="the head"`)
	assert.Nil(t, Code(strings.Repeat("x", 3000), ""), "no code holds that")
}
