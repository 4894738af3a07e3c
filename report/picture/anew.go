package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"sync"
)

// The media types of photographs.
const (
	JPEG = "image/jpeg"
	PNG  = "image/png"
)

// MostBytes is the most that the file of a photograph has, before it is written anew and
// after: as much as a record takes.
const MostBytes = 16 << 20

// quality is that of a JPEG that is written anew, of 100: what was seen is seen. Ours, no source.
const quality = 92

// one has one picture decoded at a time, so that many need no more memory than one.
var one sync.Mutex

// Anew decodes a photograph and writes it anew. It is of the same media type.
func Anew(content []byte) (mime string, anew []byte, err error) {
	head, err := read(content)
	if err != nil {
		return "", nil, err
	}
	one.Lock()
	defer one.Unlock()
	dots, err := head.decode(bytes.NewReader(content))
	if err != nil {
		return "", nil, refuse("take it again, or send another one", "it is broken: %v", err)
	}
	var b bytes.Buffer
	if head.mime == JPEG {
		err = jpeg.Encode(&b, upright(dots, held(content)), &jpeg.Options{Quality: quality})
	} else {
		err = png.Encode(&b, plain(dots))
	}
	switch {
	case err != nil:
		return "", nil, refuse("send another one", "it cannot be written anew: %v", err)
	case b.Len() > MostBytes:
		return "", nil, refuse("make it smaller, or send it as JPEG", "written anew it has %d bytes, and %d are the most", b.Len(), MostBytes)
	}
	return head.mime, b.Bytes(), nil
}

// Shown is Anew for a photograph that is on record: one that is bare, as those are that were
// written anew before they were kept, is handed out as it is.
func Shown(content []byte) (mime string, shown []byte, err error) {
	head, err := read(content)
	if err != nil {
		return "", nil, err
	}
	if isBare(content) {
		return head.mime, content, nil
	}
	return Anew(content)
}

// plain puts a picture on white where it could be seen through, in 8 bits a colour. One that
// is so already is not copied.
func plain(dots image.Image) image.Image {
	if of, ok := dots.(interface{ Opaque() bool }); ok && of.Opaque() && !isWide(dots) {
		return dots
	}
	on := image.NewRGBA(dots.Bounds())
	draw.Draw(on, on.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.Draw(on, on.Bounds(), dots, dots.Bounds().Min, draw.Over)
	return on
}

// isWide tells whether a colour has 16 bits.
func isWide(dots image.Image) bool {
	switch dots.ColorModel() {
	case color.RGBA64Model, color.NRGBA64Model, color.Gray16Model:
		return true
	default:
		return false
	}
}

// turned is a picture as it is seen when the camera is held upright.
type turned struct {
	image.Image
	how orientation
}

// upright turns and mirrors a picture as its camera said.
func upright(dots image.Image, how orientation) image.Image {
	if how == (orientation{}) {
		return dots
	}
	return turned{dots, how}
}

// Bounds implements image.Image.
func (t turned) Bounds() image.Rectangle {
	size := t.Image.Bounds().Size()
	if t.how.lying() {
		size.X, size.Y = size.Y, size.X
	}
	return image.Rectangle{Max: size}
}

// At implements image.Image: it goes back from where a dot is seen to where it lies.
func (t turned) At(x, y int) color.Color {
	own := t.Image.Bounds()
	switch wide, high := own.Dx(), own.Dy(); t.how.degrees {
	case 90:
		x, y = wide-1-y, x
	case -90:
		x, y = y, high-1-x
	case 180:
		x, y = wide-1-x, high-1-y
	}
	if t.how.mirrored {
		x = own.Dx() - 1 - x
	}
	return t.Image.At(own.Min.X+x, own.Min.Y+y)
}
