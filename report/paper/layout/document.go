// Package layout lays text, tables, drawings and pictures out on the pages of a
// PDF file. It knows nothing of welding.
//
// Terms. A body is the part of a page between the margins; everything runs down
// it, and what does not fit goes on the next page. A part is a paragraph in one
// type. A drawing is a value of report/draw; its inks are those of the text.
//
// The same calls give the same bytes: fonts are embedded in a fixed order, and
// the only date is the one that is handed in; a zero date is left out.
//
// Errors: a drawing that cannot be painted, or a font that cannot be read, is kept
// and returned by Write. A picture that cannot be read is told
// by Picture, and the document goes on.
package layout

import (
	"slices"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"

	"arctally/report/draw"
)

// Format is a size of paper.
type Format string

// The formats; the words are those of the option.
const (
	A4     Format = "a4"
	Letter Format = "letter"
)

// Formats are all of them.
var Formats = []Format{A4, Letter}

// Options are what a document is begun with.
type Options struct {
	Format Format // empty is A4
	Title  string
	Foot   string      // stands at the foot of every page, beside its number
	Style  *draw.Style // of the drawings, and the inks; nil is black
	Across string      // stands large across every page, under what else is on it; empty is nothing
	Made   time.Time
}

// Document is a PDF file that is being written.
type Document struct {
	pdf   *fpdf.Fpdf
	ruler *fpdf.Fpdf // measures, and has no pages
	style *draw.Style
	inks
	foot   string
	across string
	made   time.Time
	x, y   float64 // mm: left edge of the column, and where the next thing goes
	width  float64 // of the column
	bottom float64 // of the body
	dry    bool    // measure only
	// pictures are those that were read, by name.
	pictures map[string]registered
	err      error
}

// The margins, mm. Any printer can print within them, and a hole can be punched.
const (
	sideMargin   = 16.0
	topMargin    = 14.0
	bottomMargin = 18.0
)

// The faces of the type; text has that of the drawings.
const (
	plainFace = draw.Face
	monoFace  = "mono"
)

// New begins a document with an empty page.
func New(o Options) *Document {
	size := "A4"
	if o.Format == Letter {
		size = "Letter"
	}
	pdf := fpdf.New("P", "mm", size, "")
	pdf.SetCatalogSort(true)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCellMargin(0)
	pdf.SetTitle(safe(o.Title), true)
	pdf.SetProducer("arctally", false)
	pdf.SetLang("en")
	// The writer knows no missing date; undated takes it out again.
	stamp := o.Made.UTC()
	if stamp.IsZero() {
		stamp = time.Unix(0, 0).UTC()
	}
	pdf.SetCreationDate(stamp)
	pdf.SetModificationDate(stamp)
	ruler := fpdf.New("P", "mm", size, "")
	for _, one := range []*fpdf.Fpdf{pdf, ruler} {
		// Cloned, because the reader of the font keeps the bytes.
		one.AddUTF8FontFromBytes(plainFace, "", slices.Clone(goregular.TTF))
		one.AddUTF8FontFromBytes(plainFace, "B", slices.Clone(gobold.TTF))
		one.AddUTF8FontFromBytes(monoFace, "", slices.Clone(gomono.TTF))
	}
	pageWidth, pageHeight := pdf.GetPageSize()
	style := o.Style
	if style == nil {
		style = new(draw.Style)
	}
	d := &Document{
		pdf: pdf, ruler: ruler, style: style, inks: inksOf(style), foot: o.Foot, across: o.Across, made: o.Made, x: sideMargin,
		pictures: map[string]registered{}, width: pageWidth - 2*sideMargin, bottom: pageHeight - bottomMargin,
	}
	d.NewPage()
	return d
}

// NewPage goes on at the top of the next page.
func (d *Document) NewPage() {
	d.y = topMargin
	if !d.dry {
		d.pdf.AddPage()
		d.writeAcross()
	}
}

// need goes to the next page where a height does not fit on this one.
func (d *Document) need(height float64) {
	if d.y+height > d.bottom && d.y > topMargin && !d.dry {
		d.NewPage()
	}
}

// Space leaves a height free, but not at the top of a page.
func (d *Document) Space(height float64) {
	if d.y > topMargin || d.dry {
		d.y += height
	}
}

// Keep keeps what is written together on one page, if a page can hold it.
func (d *Document) Keep(write func()) {
	if height := d.height(write); height <= d.bottom-topMargin {
		d.need(height)
	}
	write()
}

// height measures what is written.
func (d *Document) height(write func()) float64 {
	y, dry := d.y, d.dry
	d.dry = true
	write()
	height := d.y - y
	d.y, d.dry = y, dry
	return height
}

// gutter is the room between columns, mm.
const gutter = 7.0

// Columns writes side by side, in columns of the same width.
func (d *Document) Columns(writes ...func()) {
	d.Keep(func() {
		x, y, width, lowest := d.x, d.y, d.width, d.y
		d.width = (width - gutter*float64(len(writes)-1)) / float64(len(writes))
		for k, write := range writes {
			d.x, d.y = x+float64(k)*(d.width+gutter), y
			write()
			lowest = max(lowest, d.y)
		}
		d.x, d.y, d.width = x, lowest, width
	})
}

// Beside puts a drawing of a width at the left, and writes beside it.
func (d *Document) Beside(drawing *draw.Drawing, drawingWidth float64, write func()) {
	d.Keep(func() {
		x, y, width := d.x, d.y, d.width
		d.width = drawingWidth
		d.Drawing(drawing)
		below := d.y
		d.x, d.y, d.width = x+drawingWidth+gutter, y, width-drawingWidth-gutter
		write()
		d.x, d.y, d.width = x, max(below, d.y), width
	})
}

// LeftOf writes with a square drawing of a width at the right of it, which takes no height of its
// own: what is written has to be as high. An edge of the drawing, light on every side, lies over
// what is light anyway.
func (d *Document) LeftOf(drawing *draw.Drawing, drawingWidth, edge float64, write func()) {
	d.Keep(func() {
		width := d.width
		d.paint(drawing, d.x+width-drawingWidth+edge, d.y-edge, drawingWidth, drawingWidth)
		d.width = width - (drawingWidth - 2*edge) - gutter
		write()
		d.width = width
	})
}
