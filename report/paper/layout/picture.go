package layout

import (
	"bytes"
	"encoding/gob"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // so that a picture is read before it is laid out
	_ "image/png"

	"codeberg.org/go-pdf/fpdf"
)

// Picture is a photograph, upright, with the words that stand below it.
type Picture struct {
	Name    string // of the content: the same name is the same picture
	Content []byte
	Words   []Part
	Missing string // why there is no content
}

// pictureHeight is the most that a picture is high, mm.
const pictureHeight = 48.0

// mostPixels bounds what a picture may unfold to.
const mostPixels = 120e6

// Pictures puts photographs side by side, three to a row.
func (d *Document) Pictures(pictures []Picture) {
	for first := 0; first < len(pictures); first += 3 {
		row := pictures[first:min(first+3, len(pictures))]
		columns := make([]func(), 3)
		for k := range columns {
			columns[k] = func() {
				if k < len(row) {
					d.picture(row[k])
				}
			}
		}
		d.Columns(columns...)
		d.y += 2
	}
}

func (d *Document) picture(p Picture) {
	known := registered{why: p.Missing}
	if known.why == "" {
		known = d.register(p)
	}
	if known.why != "" {
		d.Paragraph(known.why, Look{Size: 8.5, Bold: true})
	} else {
		d.show(p.Name, known)
	}
	for _, part := range p.Words {
		look := Look{Size: 7.5, Bold: part.Bold, Grey: part.Grey, Mono: part.Mono}
		if part.Mono {
			look.Size = 6
		}
		d.Paragraph(part.Text, look)
	}
}

func (d *Document) show(name string, r registered) {
	scale := min(d.width/r.width, pictureHeight/r.height)
	if !d.dry {
		d.pdf.ImageOptions(name, d.x, d.y, scale*r.width, scale*r.height, false, fpdf.ImageOptions{}, 0, "")
	}
	d.y += scale*r.height + 1.2
}

// registered is a picture that the document holds, or why it does not.
type registered struct {
	width, height float64 // of its bytes, pixels
	why           string
}

// register reads a picture once, and shields the document from one that is broken.
func (d *Document) register(p Picture) registered {
	r, known := d.pictures[p.Name]
	if !known {
		r = d.read(p)
		d.pictures[p.Name] = r
	}
	return r
}

func (d *Document) read(p Picture) registered {
	fail := func(err error) registered {
		return registered{why: "The picture cannot be shown: " + err.Error() + "."}
	}
	config, format, err := image.DecodeConfig(bytes.NewReader(p.Content))
	if err != nil {
		return fail(err)
	}
	if pixels := float64(config.Width) * float64(config.Height); pixels < 1 || pixels > mostPixels {
		return fail(fmt.Errorf("%d by %d pixels", config.Width, config.Height))
	}
	if _, _, err = image.Decode(bytes.NewReader(p.Content)); err != nil {
		return fail(err)
	}
	info := d.pdf.RegisterImageOptionsReader(p.Name, fpdf.ImageOptions{ImageType: format}, bytes.NewReader(p.Content))
	if err = d.pdf.Error(); err == nil {
		err = inOrder(info, len(d.pictures))
	}
	if err != nil {
		d.pdf.ClearError()
		return fail(err)
	}
	return registered{width: float64(config.Width), height: float64(config.Height)}
}

// inOrder gives a picture its place among those of the same width. The writer
// sorts pictures by width alone, and would write equals in an order that changes
// from run to run; so the width grows by less than what it is cut down to.
func inOrder(info *fpdf.ImageInfoType, place int) error {
	form, err := info.GobEncode()
	if err != nil {
		return err
	}
	var data, mask, palette []byte
	var number, bits int
	var width, height, scale, resolution float64
	var space, filter, parameters string
	var transparent []int
	fields := []any{&data, &mask, &number, &width, &height, &space, &palette, &bits, &filter, &parameters, &transparent, &scale, &resolution}
	decoder := gob.NewDecoder(bytes.NewReader(form))
	for _, field := range fields {
		err = errors.Join(err, decoder.Decode(field))
	}
	width += float64(place) * 1e-6
	var changed bytes.Buffer
	encoder := gob.NewEncoder(&changed)
	for _, field := range fields {
		err = errors.Join(err, encoder.Encode(field))
	}
	return errors.Join(err, info.GobDecode(changed.Bytes()))
}
