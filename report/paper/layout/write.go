package layout

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
)

// Write ends the document and writes it.
func (d *Document) Write(w io.Writer) error {
	d.feet()
	var b bytes.Buffer
	if err := errors.Join(d.err, d.pdf.Output(&b)); err != nil {
		return fmt.Errorf("lay out the pages: %w", err)
	}
	out := b.Bytes()
	if d.made.IsZero() {
		out = undated(out)
	}
	_, err := w.Write(out)
	return err
}

// feet writes the foot of every page, now that it is known how many there are.
func (d *Document) feet() {
	pages := d.pdf.PageCount()
	look := Look{Size: 7.5, Grey: true}
	pageWidth, _ := d.pdf.GetPageSize()
	right := pageWidth - sideMargin
	for page := 1; page <= pages; page++ {
		d.pdf.SetPage(page)
		d.pdf.SetFont(plainFace, "", 1) // a page that is gone back to has a font of its own
		d.stroke(0.2, d.grey)
		d.pdf.Line(sideMargin, d.bottom+3, right, d.bottom+3)
		number := fmt.Sprintf("page %d of %d", page, pages)
		numberWidth := d.measure(number, look)
		d.say(right-numberWidth, d.bottom+7, number, look)
		d.say(sideMargin, d.bottom+7, d.fit(d.foot, look, right-sideMargin-numberWidth-5), look)
	}
}

// dates are where the writer puts them: in the last dictionaries of the file.
var dates = regexp.MustCompile(`/(?:CreationDate|ModDate) \(D:\d+\)`)

// undated blanks the dates, so that every place in the file stays where it is.
func undated(file []byte) []byte {
	tail := bytes.LastIndex(file, []byte("/CreationDate"))
	if tail < 0 {
		return file
	}
	for _, at := range dates.FindAllIndex(file[tail:], -1) {
		for k := at[0]; k < at[1]; k++ {
			file[tail+k] = ' '
		}
	}
	return file
}
