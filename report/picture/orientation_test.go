package picture

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// exif is an APP1 segment that says how the camera was held; another tag stands before it.
func exif(order binary.AppendByteOrder, value uint16) []byte {
	tiff := []byte("MM")
	if order == binary.AppendByteOrder(binary.LittleEndian) {
		tiff = []byte("II")
	}
	tiff = order.AppendUint32(order.AppendUint16(tiff, 42), 8)
	tiff = order.AppendUint16(tiff, 2)
	for _, entry := range [][2]uint16{{0x0100, 80}, {tagOrientation, value}} {
		tiff = order.AppendUint32(order.AppendUint16(order.AppendUint16(tiff, entry[0]), typeShort), 1)
		tiff = order.AppendUint16(order.AppendUint16(tiff, entry[1]), 0)
	}
	body := append([]byte("Exif\x00\x00"), order.AppendUint32(tiff, 0)...)
	return append(binary.BigEndian.AppendUint16([]byte{0xff, 0xe1}, uint16(2+len(body))), body...)
}

// corners are the colours that everybody is to see: above and below, left and right.
var corners = [2][2]color.RGBA{
	{{220, 20, 20, 255}, {20, 180, 20, 255}},
	{{20, 20, 220, 255}, {230, 220, 20, 255}},
}

// from says for each value which corner a viewer's corner lies at in the file:
// TIFF 6.0 tells which sides its first row and first column stand for.
var from = map[uint16]func(row, column int) (int, int){
	1: func(r, c int) (int, int) { return r, c },
	2: func(r, c int) (int, int) { return r, 1 - c },
	3: func(r, c int) (int, int) { return 1 - r, 1 - c },
	4: func(r, c int) (int, int) { return 1 - r, c },
	5: func(r, c int) (int, int) { return c, r },         // row 0 is the left side, column 0 the top
	6: func(r, c int) (int, int) { return 1 - c, r },     // row 0 is the right side, column 0 the top
	7: func(r, c int) (int, int) { return 1 - c, 1 - r }, // row 0 is the right side, column 0 the bottom
	8: func(r, c int) (int, int) { return c, 1 - r },     // row 0 is the left side, column 0 the bottom
}

// photograph is 120 by 60 for a viewer, however it lies in the file.
func photograph(t *testing.T, value uint16, order binary.AppendByteOrder) []byte {
	size := image.Rect(0, 0, 120, 60)
	if value >= 5 {
		size = image.Rect(0, 0, 60, 120)
	}
	m := image.NewRGBA(size)
	for y := range size.Dy() {
		for x := range size.Dx() {
			// of the four places that a viewer sees, the one that lies here
			for k := range 4 {
				if r, c := from[value](k/2, k%2); r == 2*y/size.Dy() && c == 2*x/size.Dx() {
					m.SetRGBA(x, y, corners[k/2][k%2])
				}
			}
		}
	}
	var b bytes.Buffer
	require.NoError(t, jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}))
	return slices.Concat(b.Bytes()[:2], exif(order, value), b.Bytes()[2:])
}

func TestAnew_StandsUprightHoweverTheCameraWasHeld(t *testing.T) {
	for value := uint16(1); value <= 8; value++ {
		order := []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian}[value%2]
		mime, content, err := Anew(photograph(t, value, order))
		require.NoError(t, err)
		assert.Equal(t, JPEG, mime)
		seen, err := jpeg.Decode(bytes.NewReader(content))
		require.NoError(t, err)
		require.Equal(t, image.Pt(120, 60), seen.Bounds().Size(), value)
		for k := range 4 {
			got := color.RGBAModel.Convert(seen.At([]int{3, 116}[k%2], []int{3, 56}[k/2])).(color.RGBA)
			assert.Less(t, distance(got, corners[k/2][k%2]), 30.0, "orientation %d, corner %d: %v", value, k, got)
		}
	}
}

func distance(a, b color.RGBA) float64 {
	return math.Max(math.Abs(float64(a.R)-float64(b.R)), math.Max(math.Abs(float64(a.G)-float64(b.G)), math.Abs(float64(a.B)-float64(b.B))))
}

func TestHeld_WhatIsNotUnderstoodIsUpright(t *testing.T) {
	whole := photograph(t, 6, binary.BigEndian)
	assert.Equal(t, orientation{degrees: -90}, held(whole))
	for what, content := range map[string][]byte{
		"nothing":            nil,
		"no JPEG":            []byte("\x89PNG\r\n\x1a\n"),
		"no Exif":            slices.Concat(whole[:2], whole[2+len(exif(binary.BigEndian, 6)):]),
		"a value of no name": photographSaying(whole, 9),
		"zero":               photographSaying(whole, 0),
		"cut off":            whole[:30],
	} {
		assert.Equal(t, orientation{}, held(content), what)
	}
}

// photographSaying puts another value into a picture of orientation 6.
func photographSaying(whole []byte, value uint16) []byte {
	return bytes.Replace(whole, exif(binary.BigEndian, 6), exif(binary.BigEndian, value), 1)
}

func FuzzHeld(f *testing.F) {
	for value := range uint16(10) {
		f.Add(slices.Concat([]byte{0xff, 0xd8}, exif(binary.LittleEndian, value), []byte{0xff, 0xda}))
		f.Add(slices.Concat([]byte{0xff, 0xd8}, exif(binary.BigEndian, value)))
	}
	f.Add([]byte("\xff\xd8\xff\xe1\x00\x10Exif\x00\x00II*\x00\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, content []byte) {
		o := held(content)
		assert.Contains(t, []float64{0, 90, -90, 180}, o.degrees)
		if !bytes.Contains(content, []byte("Exif\x00\x00")) {
			assert.Equal(t, orientation{}, o, "nobody said how it was held")
		}
	})
}
