package letterhead

import (
	"bytes"
	"image"
	"image/png"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func picture(t *testing.T, width, height int) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewGray(image.Rect(0, 0, width, height))))
	return b.Bytes()
}

func folder(text string, logo []byte) fstest.MapFS {
	return fstest.MapFS{Name: {Data: []byte(text)}, "logo.png": {Data: logo}}
}

func TestRead(t *testing.T) {
	head, err := Read(folder("logo: logo.png\nlines: [Shop 1, \" 12 Road \"]\n", picture(t, 3000, 40)), Name)
	require.NoError(t, err)
	assert.Equal(t, []string{"Shop 1", "12 Road"}, head.Lines)
	assert.Equal(t, 1000, head.Logo.Width, "no more dots than are seen")
	assert.Equal(t, 13, head.Logo.Height)
	assert.NotEqual(t, picture(t, 3000, 40), head.Logo.Content, "written anew")
	for _, size := range [][2]int{{1, 1}, {1, 5000}} {
		head, err = Read(folder("logo: logo.png\n", picture(t, size[0], size[1])), Name)
		require.NoError(t, err)
		assert.Equal(t, 1, head.Logo.Width)
	}
}

func TestRead_Refuses(t *testing.T) {
	for name, c := range map[string]struct{ text, logo, want string }{
		"no key":         {"logos: a.png\n", "", `letterhead letterhead.yaml:1: no key "logos"`},
		"nothing":        {"{}\n", "", "letterhead letterhead.yaml: has neither logo nor lines"},
		"empty":          {"", "", "letterhead letterhead.yaml: not key: value pairs"},
		"broken":         {"lines: [", "", "letterhead letterhead.yaml: not key: value pairs"},
		"two documents":  {"lines: [a]\n---\nlines: [b]\n", "", "letterhead letterhead.yaml: a second document"},
		"twice":          {"lines: [a]\nlines: [b]\n", "", "letterhead letterhead.yaml:2: lines is written twice"},
		"many lines":     {"lines: [a, b, c, d, e, f]\n", "", "letterhead letterhead.yaml:1: lines must be a list of 1 to 5 lines"},
		"long line":      {"lines: [" + strings.Repeat("w", 81) + "]\n", "", "letterhead letterhead.yaml:1: has 81 letters; 80 are the most"},
		"line in a line": {"lines: [[a]]\n", "", "letterhead letterhead.yaml:1: must be one line of text"},
		"outside":        {"logo: ../logo.png\n", "", "letterhead letterhead.yaml:1: ../logo.png does not lie beside this file"},
		"not there":      {"logo: other.png\n", "", "letterhead other.png: cannot be opened: file does not exist"},
		"no picture":     {"logo: logo.png\n", "<svg/>", "letterhead logo.png: this is no PNG or JPEG picture"},
		"too wide":       {"logo: logo.png\n", string(picture(t, 20000, 1)), "letterhead logo.png: the picture has 20000 by 1 dots; 10000 on a side and 40 million in all are the most"},
		"cut off":        {"logo: logo.png\n", string(picture(t, 50, 50)[:60]), "letterhead logo.png: the picture is broken: png: invalid format: not enough pixel data"},
		"too large":      {"logo: logo.png\n", strings.Repeat("x", 8<<20+1), "letterhead logo.png: larger than 8388608 bytes"},
	} {
		_, err := Read(folder(c.text, []byte(c.logo)), Name)
		assert.EqualError(t, err, c.want, name)
	}
}

func TestReadBeside(t *testing.T) {
	head, err := ReadBeside(fstest.MapFS{})
	require.NoError(t, err)
	assert.Nil(t, head)
	_, err = ReadBeside(folder("logo: other.png\n", nil))
	require.Error(t, err, "a letterhead that cannot be used is told of, not left out")
}
