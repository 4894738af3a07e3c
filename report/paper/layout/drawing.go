package layout

import (
	"errors"
	"fmt"

	"arctally/report/draw"
)

// Drawing paints a drawing over the width of the column.
func (d *Document) Drawing(drawing *draw.Drawing) {
	height := drawing.HeightFor(d.width)
	d.need(height)
	d.paint(drawing, d.x, d.y, d.width, height)
	d.y += height + 1.5
}

// paint puts a drawing into a place, as large as it fits.
func (d *Document) paint(drawing *draw.Drawing, x, y, width, height float64) {
	if d.dry || drawing == nil {
		return
	}
	if err := drawing.Paint(d.pdf, d.style, x, y, width, height); err != nil {
		d.err = errors.Join(d.err, fmt.Errorf("a drawing: %w", err))
	}
}
