package layout

import (
	"math"
	"sort"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/text/unicode/norm"

	"arctally/acquire/foreign"
	"arctally/report/draw"
)

// Look is a type.
type Look struct {
	Size             float64 // points
	Bold, Grey, Mono bool
}

// inks are the colours of text and rules.
type inks struct{ black, grey, thin, hot, faint draw.Colour }

func inksOf(s *draw.Style) inks {
	return inks{s.Ink("ink"), s.Ink("grey"), s.Ink("rule"), s.Ink("hot"), s.Ink("faint")}
}

// leading is the distance of two lines, in heights of the type.
const leading = 1.32

func (l Look) line() float64 { return l.Size * leading * draw.Point }

// The types of the body.
var (
	bodyLook  = Look{Size: 9.5}
	smallLook = Look{Size: 8, Grey: true}
)

// safe shows what is hidden in a text, as terminal and pages do, and names what no type can
// show: bytes that are no text among it.
func safe(text string) string {
	if isPlain(text) {
		return text
	}
	seen := foreign.Visible(norm.NFC.String(text)) // a letter and its accent may come as two
	return numbered(spaces.Replace(seen))
}

// spaces are those that a line is broken at.
var spaces = strings.NewReplacer("\t", " ", "\u00a0", " ")

// isPlain tells whether a text has no letters but those that every type has, and that stand
// as they are: most of what is written, and quickly told.
func isPlain(text string) bool {
	for k := range len(text) {
		if text[k] < ' ' || text[k] > '~' {
			return false
		}
	}
	return true
}

func (d *Document) font(l Look) { l.on(d.pdf) }

// on sets the type of what writes, or measures.
func (l Look) on(pdf *fpdf.Fpdf) {
	face, style := plainFace, ""
	switch {
	case l.Mono:
		face = monoFace
	case l.Bold:
		style = "B"
	}
	pdf.SetFont(face, style, l.Size)
}

// typedWidth is how wide a line of typed letters is, mm. It is measured by a writer without
// pages: one with pages puts into the page each type that it measures in.
func (d *Document) typedWidth(line string, l Look) float64 {
	l.on(d.ruler)
	return d.ruler.GetStringWidth(line)
}

func (d *Document) measure(text string, l Look) (width float64) {
	if isPlain(text) {
		return d.typedWidth(text, l)
	}
	line := ordered(safe(text))
	if !hasDots(line) {
		return d.typedWidth(line, l)
	}
	for _, one := range d.runs(line, l) {
		width += one.width
	}
	return width
}

// say writes a line on its baseline.
func (d *Document) say(x, baseline float64, text string, l Look) {
	if d.dry || text == "" {
		return
	}
	c := d.inkOf(l)
	d.pdf.SetTextColor(c.R, c.G, c.B)
	if isPlain(text) {
		d.font(l)
		d.pdf.Text(x, baseline, text)
		return
	}
	for _, one := range d.runs(ordered(safe(text)), l) {
		if one.dots {
			d.sayDots(x, baseline, one, l)
		} else {
			d.font(l)
			d.pdf.Text(x, baseline, one.text)
		}
		x += one.width
	}
}

func (d *Document) inkOf(l Look) draw.Colour {
	if l.Grey {
		return d.grey
	}
	return d.black
}

// fit cuts a line that is too long, and says so with dots.
func (d *Document) fit(text string, l Look, width float64) string {
	if d.measure(text, l) <= width {
		return text
	}
	runes := []rune(text)
	runes = runes[:sort.Search(len(runes), func(k int) bool { return d.measure(string(runes[:k+1])+"...", l) > width })]
	return string(runes) + "..."
}

// wrap breaks a text into lines of a width; a word that is wider is broken.
func (d *Document) wrap(text string, l Look, width float64) []string {
	return d.wrapBehind(0, text, l, width)
}

// wrapBehind is wrap where part of the first line is taken.
func (d *Document) wrapBehind(taken float64, text string, l Look, width float64) (lines []string) {
	room := func() float64 {
		if len(lines) == 0 {
			return width - taken
		}
		return width
	}
	for _, paragraph := range strings.Split(safe(text), "\n") {
		if math.IsInf(width, 1) {
			lines = append(lines, strings.Join(strings.Fields(paragraph), " "))
			continue
		}
		line := ""
		for _, word := range strings.Fields(paragraph) {
			if line != "" {
				if longer := line + " " + word; d.measure(longer, l) <= room() {
					line = longer
					continue
				}
				lines = append(lines, line)
			}
			pieces := d.pieces(word, l, room())
			lines = append(lines, pieces[:len(pieces)-1]...)
			line = pieces[len(pieces)-1]
		}
		lines = append(lines, line)
	}
	return lines
}

// pieces breaks a word that is wider than its column.
func (d *Document) pieces(word string, l Look, width float64) (pieces []string) {
	letters := []rune(word)
	for {
		n := d.fitting(letters, l, width)
		pieces = append(pieces, string(letters[:n]))
		if letters = letters[n:]; len(letters) == 0 {
			return pieces
		}
	}
}

// fitting is how many letters go into a width: one at least, if there is one. However many
// follow, no more of them are measured than twice as many as fit.
func (d *Document) fitting(letters []rune, l Look, width float64) int {
	most := 1
	for most < len(letters) && d.measure(string(letters[:most]), l) <= width {
		most *= 2
	}
	most = min(most, len(letters))
	n := sort.Search(most, func(k int) bool { return d.measure(string(letters[:k+1]), l) > width })
	return min(max(1, n), most)
}

// Paragraph writes a text over the width of the column.
func (d *Document) Paragraph(text string, l Look) { d.paragraph(0, text, l) }

// Text writes a paragraph of the body.
func (d *Document) Text(text string) { d.paragraph(0, text, bodyLook) }

// Strong writes a paragraph of the body in bold.
func (d *Document) Strong(text string) { d.paragraph(0, text, Look{Size: bodyLook.Size, Bold: true}) }

// Small writes a note.
func (d *Document) Small(text string) { d.paragraph(0, text, smallLook) }

// List writes paragraphs with a mark before each.
func (d *Document) List(items []string) {
	for _, item := range items {
		d.flow(4.5, d.wrap(item, bodyLook, d.width-4.5), bodyLook, func(baseline float64) {
			d.say(d.x+1, baseline, "\u2022", bodyLook)
		})
	}
}

func (d *Document) paragraph(indent float64, text string, l Look) {
	d.flow(indent, d.wrap(text, l, d.width-indent), l, func(float64) {})
}

// flow writes lines one below the other; the first three stay together, and so do
// the last two. What stands beside the first line is written with it.
func (d *Document) flow(indent float64, lines []string, l Look, first func(baseline float64)) {
	d.need(float64(min(3, len(lines))) * l.line())
	for k, line := range lines {
		if k == len(lines)-2 {
			d.need(2 * l.line())
		}
		d.need(l.line())
		baseline := d.y + l.line()*0.78
		if k == 0 {
			first(baseline)
		}
		d.say(d.x+indent, baseline, line, l)
		d.y += l.line()
	}
	d.y += 0.35 * l.line()
}

// Lead writes a paragraph of the body that begins with words in bold.
func (d *Document) Lead(head, text string) {
	bold := Look{Size: bodyLook.Size, Bold: true}
	room := d.measure(head+" ", bold)
	if room > d.width*0.7 {
		d.Strong(head)
		d.Text(text)
		return
	}
	lines := d.wrapBehind(room, text, bodyLook, d.width)
	d.flow(0, append([]string{""}, lines[1:]...), bodyLook, func(baseline float64) {
		d.say(d.x, baseline, head, bold)
		d.say(d.x+room, baseline, lines[0], bodyLook)
	})
}

func (d *Document) rule(weight float64, c draw.Colour) {
	if d.dry {
		return
	}
	d.stroke(weight, c)
	d.pdf.Line(d.x, d.y, d.x+d.width, d.y)
}

// stroke sets the pen.
func (d *Document) stroke(weight float64, c draw.Colour) {
	d.pdf.SetLineWidth(weight)
	d.pdf.SetDrawColor(c.R, c.G, c.B)
}
