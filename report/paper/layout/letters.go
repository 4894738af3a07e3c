package layout

import (
	"fmt"
	"image"
	"regexp"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/hajimehoshi/bitmapfont/v3"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/language"

	"arctally/report/draw"
)

// The type of the text has Latin, Greek and Cyrillic letters. What else people write is
// drawn from dots, 12 to the height of a letter: Chinese, Japanese, Korean, Arabic, Hebrew
// and more in 2.4 MB, where an outline type of one of them has 5 to 16 MB. What even the
// dots do not have is written by its number in Unicode, such as [U+0905], so that nothing is
// lost and nobody takes one letter for another.

// dotsOfLetter is the height of a letter of the dots, which is that of the type.
const dotsOfLetter = 12

// boldDots is by how much bold dots are wider.
const boldDots = 0.35

// typed tells for every character of the first plane whether the type of the text has it.
var typed = sync.OnceValue(func() *[0x10000]bool {
	face, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		panic("layout: the type of the text cannot be read: " + err.Error())
	}
	var has [0x10000]bool
	var buffer sfnt.Buffer
	for r := range has {
		glyph, err := face.GlyphIndex(&buffer, rune(r))
		has[r] = err == nil && glyph != 0
	}
	return &has
})

// isTyped tells whether the type of the text has a character; the one that stands for bytes
// that are no text is written by its number.
func isTyped(r rune) bool { return r <= 0xffff && r != utf8.RuneError && typed()[r] }

// dotted gives a character in dots, false where there are none.
func dotted(r rune) (area image.Rectangle, dots image.Image, corner image.Point, width float64, ok bool) {
	if r > 0xffff || r == utf8.RuneError {
		return area, nil, corner, 0, false
	}
	area, dots, corner, advance, ok := bitmapfont.Face.Glyph(fixed.Point26_6{}, r)
	if !ok || !unicode.IsSpace(r) && blankDots(area, dots, corner) {
		return area, nil, corner, 0, false
	}
	return area, dots, corner, float64(advance) / 64, true
}

// inDots tells for every character of the first plane whether there are dots of it.
var inDots = sync.OnceValue(func() *[0x10000]bool {
	var has [0x10000]bool
	for r := range has {
		_, _, _, _, has[r] = dotted(rune(r))
	}
	return &has
})

func blankDots(area image.Rectangle, dots image.Image, corner image.Point) bool {
	for y := range area.Dy() {
		for x := range area.Dx() {
			if isDot(dots, corner, x, y) {
				return false
			}
		}
	}
	return true
}

func isDot(dots image.Image, corner image.Point, x, y int) bool {
	_, _, _, alpha := dots.At(corner.X+x, corner.Y+y).RGBA()
	return alpha >= 0x8000
}

// isShown tells whether a character is printed as itself.
func isShown(r rune) bool {
	return isTyped(r) || r == '\n' || r <= 0xffff && inDots()[r]
}

// numbered writes what cannot be shown by its number, a bracket to a run.
func numbered(text string) string {
	if !strings.ContainsFunc(text, func(r rune) bool { return !isShown(r) }) {
		return text
	}
	var b strings.Builder
	open := false
	for _, r := range text {
		switch shown := isShown(r); {
		case shown && open:
			b.WriteByte(']')
		case !shown && open:
			b.WriteByte(' ')
		case !shown:
			b.WriteByte('[')
		}
		if open = !isShown(r); open {
			fmt.Fprintf(&b, "U+%04X", r)
		} else {
			b.WriteRune(r)
		}
	}
	if open {
		b.WriteByte(']')
	}
	return b.String()
}

// fromTheRight finds words that are written from the right, as long as nothing else stands
// between them.
var fromTheRight = regexp.MustCompile(`[\p{Arabic}\p{Hebrew}]+(?: +[\p{Arabic}\p{Hebrew}]+)*`)

// ordered puts words that are written from the right into the order in which they are seen,
// their letters joined. What stands before and after them stays there: a sheet is read from
// the left.
func ordered(line string) string {
	return fromTheRight.ReplaceAllStringFunc(line, func(words string) string {
		return bitmapfont.PresentationForms(words, bitmapfont.DirectionRightToLeft, language.Arabic)
	})
}

// run is a stretch of a line in one way of printing.
type run struct {
	text  string
	dots  bool
	width float64 // mm
}

// runs divides a line, which is safe and in its order.
func (d *Document) runs(line string, l Look) (runs []run) {
	for _, r := range line {
		if dots := !isTyped(r); len(runs) == 0 || runs[len(runs)-1].dots != dots {
			runs = append(runs, run{dots: dots})
		}
		runs[len(runs)-1].text += string(r)
	}
	for k := range runs {
		if !runs[k].dots {
			runs[k].width = d.typedWidth(runs[k].text, l)
			continue
		}
		for _, r := range runs[k].text {
			_, _, _, width, _ := dotted(r)
			runs[k].width += width * l.dot()
		}
	}
	return runs
}

// dot is the size of a dot, mm.
func (l Look) dot() float64 { return l.Size * draw.Point / dotsOfLetter }

// sayDots draws letters of dots, and puts them there as text that is not seen, so that they
// can be searched for and copied.
func (d *Document) sayDots(x, baseline float64, one run, l Look) {
	d.unseen(x, baseline, one, l)
	c := d.inkOf(l)
	d.pdf.SetFillColor(c.R, c.G, c.B)
	for _, r := range one.text {
		area, dots, corner, width, ok := dotted(r)
		if !ok {
			continue
		}
		d.drawDots(x, baseline, area, dots, corner, l)
		x += width * l.dot()
	}
}

// invisible is the mode of writing text that is not seen (ISO 32000-1, table 106; standing: memory).
const invisible = 3

func (d *Document) unseen(x, baseline float64, one run, l Look) {
	wide := d.typedWidth(one.text, l)
	if wide <= 0 {
		return
	}
	d.font(l)
	d.pdf.SetTextRenderingMode(invisible)
	d.pdf.RawWriteStr(fmt.Sprintf("%.2f Tz", 100*one.width/wide))
	d.pdf.Text(x, baseline, one.text)
	d.pdf.RawWriteStr("100 Tz")
	d.pdf.SetTextRenderingMode(0)
}

// drawDots fills the dots of a letter, a stroke to those that lie side by side.
func (d *Document) drawDots(x, baseline float64, area image.Rectangle, dots image.Image, corner image.Point, l Look) {
	size, wider, any := l.dot(), 0.0, false
	if l.Bold {
		wider = boldDots * size
	}
	for row := range area.Dy() {
		for column := 0; column < area.Dx(); column++ {
			from := column
			for column < area.Dx() && isDot(dots, corner, column, row) {
				column++
			}
			if column == from {
				continue
			}
			left, right := x+float64(area.Min.X+from)*size, x+float64(area.Min.X+column)*size+wider
			top := baseline + float64(area.Min.Y+row)*size
			d.pdf.MoveTo(left, top)
			d.pdf.LineTo(right, top)
			d.pdf.LineTo(right, top+size)
			d.pdf.LineTo(left, top+size)
			d.pdf.ClosePath()
			any = true
		}
	}
	if any {
		d.pdf.DrawPath("f")
	}
}

// hasDots tells whether part of a line is drawn from dots.
func hasDots(line string) bool {
	return strings.ContainsFunc(line, func(r rune) bool { return !isTyped(r) })
}
