package picture

import (
	"bytes"
	"encoding/binary"
	"go/build"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// ofGo is a picture of the tests of the language's own library.
func ofGo(t testing.TB, name string) []byte {
	t.Helper()
	content, err := os.ReadFile(filepath.Join(build.Default.GOROOT, "src", "image", filepath.FromSlash(name)))
	require.NoError(t, err)
	return content
}

func encodedPNG(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, m))
	return b.Bytes()
}

// chunk is a piece of a PNG file.
func chunk(kind, body string) []byte {
	c := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	c = append(c, kind+body...)
	return binary.BigEndian.AppendUint32(c, crc32.ChecksumIEEE([]byte(kind+body)))
}

// Whatever is in a photograph beside its dots is dropped; the dots stay what they were.
func TestAnew_KeepsTheDotsAlone(t *testing.T) {
	upright := photograph(t, 1, binary.BigEndian)
	whole := encodedPNG(t, image.NewGray(image.Rect(0, 0, 9, 7)))
	place := slices.Concat([]byte{0xff, 0xe1, 0, 16}, []byte("GPS 1.23, 4.56"))
	for name, content := range map[string][]byte{
		"of a camera, with its place":  slices.Concat(upright[:2], place, upright[2:]),
		"with a program behind it":     append(slices.Clone(upright), "PK\x03\x04<script>GPS"...),
		"with a comment":               slices.Concat(upright[:2], []byte{0xff, 0xfe, 0, 10}, []byte("<b>GPS</"), upright[2:]),
		"progressive":                  ofGo(t, "testdata/video-001.progressive.jpeg"),
		"of four inks":                 ofGo(t, "testdata/video-001.cmyk.jpeg"),
		"of red, green and blue":       ofGo(t, "testdata/video-001.rgb.jpeg"),
		"with restarts":                ofGo(t, "testdata/video-001.restart2.jpeg"),
		"grey":                         ofGo(t, "testdata/video-005.gray.jpeg"),
		"of 16 bits":                   ofGo(t, "png/testdata/pngsuite/basn2c16.png"),
		"grey, of 16 bits":             ofGo(t, "png/testdata/pngsuite/basn0g16.png"),
		"of a palette":                 ofGo(t, "png/testdata/pngsuite/basn3p08.png"),
		"interlaced":                   ofGo(t, "png/testdata/benchRGB-interlace.png"),
		"one that moves, with a place": slices.Concat(whole[:33], chunk("acTL", "\x00\x00\x00\x02\x00\x00\x00\x00"), chunk("tEXt", "GPS\x001.23"), whole[33:]),
		"with something behind it":     append(slices.Clone(whole), "PK\x03\x04GPS"...),
	} {
		t.Run(name, func(t *testing.T) {
			mime, anew, err := Anew(content)
			require.NoError(t, err)
			assert.True(t, isBare(anew))
			assert.NotContains(t, string(anew), "GPS")
			assert.NotContains(t, string(anew), "Exif")
			was, _, err := image.Decode(bytes.NewReader(content))
			require.NoError(t, err)
			is, format, err := image.Decode(bytes.NewReader(anew))
			require.NoError(t, err)
			assert.Equal(t, "image/"+format, mime)
			require.Equal(t, was.Bounds().Size(), is.Bounds().Size())
			size := was.Bounds().Size()
			for _, at := range []image.Point{{size.X / 4, size.Y / 4}, {size.X / 2, size.Y / 2}} {
				a, b := color.RGBAModel.Convert(was.At(at.X, at.Y)).(color.RGBA), color.RGBAModel.Convert(is.At(at.X, at.Y)).(color.RGBA)
				assert.Less(t, distance(a, b), 40.0, "%v: %v, %v", at, a, b)
			}
			again, shown, err := Shown(anew)
			require.NoError(t, err)
			assert.Equal(t, mime, again)
			assert.Equal(t, anew, shown, "what was written anew is shown to the letter")
			_, shown, err = Shown(content)
			require.NoError(t, err)
			if !isBare(content) {
				assert.Equal(t, anew, shown)
			}
		})
	}
	assert.False(t, isBare(upright), "this one says how it was held")
}

func TestAnew_OnWhite(t *testing.T) {
	clear := image.NewNRGBA(image.Rect(0, 0, 2, 1))
	clear.SetNRGBA(1, 0, color.NRGBA{0, 0, 200, 255})
	_, anew, err := Anew(encodedPNG(t, clear))
	require.NoError(t, err)
	is, err := png.Decode(bytes.NewReader(anew))
	require.NoError(t, err)
	assert.Equal(t, color.RGBA{255, 255, 255, 255}, color.RGBAModel.Convert(is.At(0, 0)))
	assert.Equal(t, color.RGBA{0, 0, 200, 255}, color.RGBAModel.Convert(is.At(1, 0)))
}

func TestAnew_Refuses(t *testing.T) {
	whole := photograph(t, 1, binary.BigEndian)
	small := encodedPNG(t, image.NewGray(image.Rect(0, 0, 64, 64)))
	var moving bytes.Buffer
	require.NoError(t, gif.Encode(&moving, image.NewPaletted(image.Rect(0, 0, 1, 1), color.Palette{color.White}), nil))
	for name, test := range map[string]struct {
		content []byte
		want    string
	}{
		"nothing":                 {nil, "photograph: it is no JPEG and no PNG"},
		"words":                   {[]byte("<svg onload=alert(1)>"), "photograph: it is no JPEG and no PNG"},
		"a GIF":                   {moving.Bytes(), "photograph: it is no JPEG and no PNG"},
		"a JPEG cut off":          {whole[:len(whole)/2], "photograph: it is broken: "},
		"a head alone":            {whole[:3], "photograph: it is broken: "},
		"a PNG cut off":           {small[:len(small)-20], "photograph: it is broken: "},
		"a PNG of many dots":      {resized(small, 19_000, 19_000), "photograph: it unfolds to 19000 by 19000 dots, for which there is no room"},
		"a thread of dots":        {resized(small, 1, 20_001), "photograph: it unfolds to 1 by 20001 dots"},
		"a JPEG of many dots":     {resizedJPEG(whole, 60_000, 60_000), "photograph: it unfolds to 60000 by 60000 dots"},
		"more bytes than allowed": {make([]byte, MostBytes+1), "photograph: it has 16777217 bytes, and 16777216 are the most"},
	} {
		t.Run(name, func(t *testing.T) {
			for _, write := range []func([]byte) (string, []byte, error){Anew, Shown} {
				_, _, err := write(test.content)
				require.Error(t, err)
				assert.True(t, strings.HasPrefix(err.Error(), test.want), err)
				var wrong *Error
				require.ErrorAs(t, err, &wrong)
				assert.NotEmpty(t, wrong.Hint())
			}
		})
	}
}

// resized has a PNG say that it is of another size.
func resized(content []byte, wide, high uint32) []byte {
	head := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, wide), high)
	head = append(head, content[24:29]...)
	return slices.Concat(content[:8], chunk("IHDR", string(head)), content[33:])
}

// resizedJPEG has a JPEG say that it is of another size.
func resizedJPEG(content []byte, wide, high uint16) []byte {
	at := bytes.Index(content, []byte{0xff, baseline}) + 5
	size := binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16(nil, high), wide)
	return slices.Concat(content[:at], size, content[at+4:])
}

// A bomb is refused by its head: nothing near what it would unfold to is taken.
func TestAnew_TakesNoMemoryForABomb(t *testing.T) {
	bomb := resized(encodedPNG(t, image.NewGray(image.Rect(0, 0, 64, 64))), 20_000, 20_000)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, _, err := Anew(bomb)
	runtime.ReadMemStats(&after)
	require.Error(t, err)
	assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(1<<20))
}

// What the largest telephone cameras take fits, as they write it; the same with its colours
// gathered first does not.
func TestMemory(t *testing.T) {
	dots := 8160.0 * 6120
	camera := ofGo(t, "testdata/video-001.q50.420.jpeg")
	gathered := ofGo(t, "testdata/video-001.q50.444.progressive.jpeg")
	assert.InDelta(t, 5.5, memoryOfJPEG(camera), 1e-9)
	assert.InDelta(t, 19, memoryOfJPEG(gathered), 1e-9)
	assert.LessOrEqual(t, dots*memoryOfJPEG(camera), float64(mostMemory))
	assert.Greater(t, dots*memoryOfJPEG(gathered), float64(mostMemory))
	assert.InDelta(t, 24, memoryOfJPEG([]byte{0xff, 0xd8}), 1e-9, "what says nothing may be the worst")
}

// Whatever comes is refused with a word, or is bare and can be read again.
func FuzzAnew(f *testing.F) {
	f.Add(photograph(&testing.T{}, 6, binary.BigEndian))
	f.Add(ofGo(f, "testdata/video-001.progressive.jpeg"))
	f.Add(ofGo(f, "png/testdata/pngsuite/basn2c16.png"))
	f.Add(encodedPNG(f, image.NewNRGBA(image.Rect(0, 0, 3, 3))))
	f.Fuzz(func(t *testing.T, content []byte) {
		if config, _, err := image.DecodeConfig(bytes.NewReader(content)); err == nil && config.Width*config.Height > 1<<20 {
			t.Skip("it takes long, and no other way")
		}
		mime, anew, err := Anew(content)
		if err != nil {
			require.IsType(t, &Error{}, err)
			return
		}
		require.True(t, isBare(anew))
		decode := map[string]func([]byte) error{
			JPEG: func(b []byte) error { _, err := jpeg.Decode(bytes.NewReader(b)); return err },
			PNG:  func(b []byte) error { _, err := png.Decode(bytes.NewReader(b)); return err },
		}[mime]
		require.NoError(t, decode(anew))
	})
}
