package layout

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"

	"codeberg.org/go-pdf/fpdf"
	scaling "golang.org/x/image/draw"
)

// Logo is a picture that was read and written anew, so that nothing but its dots comes
// onto the paper.
type Logo struct {
	Content       []byte // PNG, without transparency
	Width, Height int    // of its dots
}

// What a logo may be, and what is made of it: it stands in 60 mm by 18 mm, where more
// dots are not seen. Ours, no source.
const (
	LargestLogo  = 8 << 20   // bytes of the file
	widestLogo   = 10_000    // dots of a side
	mostLogo     = 40e6      // dots in all
	logoDots     = 1000      // of a side, at most, on the paper
	logoWidth    = 60.0      // mm
	logoHeight   = 18.0      // mm
	coarsestLogo = 25.4 / 50 // mm for a dot: a picture of one dot is no poster
)

// NewLogo reads a PNG or JPEG picture. The error says why it cannot be used.
func NewLogo(content []byte) (*Logo, error) {
	if len(content) > LargestLogo {
		return nil, fmt.Errorf("the picture has %d bytes; %d are the most", len(content), LargestLogo)
	}
	config, format, err := image.DecodeConfig(bytes.NewReader(content))
	if err != nil || format != "png" && format != "jpeg" {
		return nil, errors.New("this is no PNG or JPEG picture")
	}
	if dots := float64(config.Width) * float64(config.Height); dots < 1 || dots > mostLogo || max(config.Width, config.Height) > widestLogo {
		return nil, fmt.Errorf("the picture has %d by %d dots; %d on a side and %.0f million in all are the most", config.Width, config.Height, widestLogo, mostLogo/1e6)
	}
	picture, _, err := image.Decode(bytes.NewReader(content))
	if err != nil {
		return nil, fmt.Errorf("the picture is broken: %w", err)
	}
	return written(picture)
}

// written writes a picture anew, on white, no larger than can be seen.
func written(picture image.Image) (*Logo, error) {
	size := picture.Bounds().Size()
	scale := math.Min(1, logoDots/float64(max(size.X, size.Y)))
	plain := image.NewRGBA(image.Rect(0, 0, max(1, int(scale*float64(size.X))), max(1, int(scale*float64(size.Y)))))
	draw.Draw(plain, plain.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	scaling.CatmullRom.Scale(plain, plain.Bounds(), picture, picture.Bounds(), scaling.Over, nil)
	var b bytes.Buffer
	if err := png.Encode(&b, plain); err != nil {
		return nil, fmt.Errorf("the picture cannot be written anew: %w", err)
	}
	return &Logo{b.Bytes(), plain.Bounds().Dx(), plain.Bounds().Dy()}, nil
}

// place is how large the logo stands on paper, mm.
func (l *Logo) place() (width, height float64) {
	dot := min(logoWidth/float64(l.Width), logoHeight/float64(l.Height), coarsestLogo)
	return dot * float64(l.Width), dot * float64(l.Height)
}

// Letterhead writes whose paper it is: a picture at the left, an address at the right.
func (d *Document) Letterhead(logo *Logo, lines []string) {
	look, below := Look{Size: 8.5}, d.y
	if logo != nil {
		width, height := logo.place()
		if !d.dry {
			d.pdf.RegisterImageOptionsReader("letterhead", fpdf.ImageOptions{ImageType: "png"}, bytes.NewReader(logo.Content))
			d.pdf.ImageOptions("letterhead", d.x, d.y, width, height, false, fpdf.ImageOptions{}, 0, "")
		}
		below = d.y + height
	}
	y := d.y
	for _, line := range lines {
		line = d.fit(line, look, d.width-logoWidth-gutter)
		d.say(d.x+d.width-d.measure(line, look), y+look.line()*0.78, line, look)
		y += look.line()
	}
	d.y = max(below, y) + 2
	d.rule(0.3, d.grey)
	d.y += 3
}
